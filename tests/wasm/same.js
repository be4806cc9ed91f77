// SPDX-License-Identifier: GPL-3.0-or-later
// same.js - earshot.wasm gives what the native program gives:
//     node same.js EARSHOT.WASM PRINTING.WASM NATIVE_BUILD SURVEY...
//
// First the comparer itself is tried with planted differences, then what the module imports, then
// every report of every survey, and 1,000 random links of each. Speaks TAP.
'use strict';

const assert = require('assert');
const { execFileSync } = require('child_process');
const fs = require('fs');
const path = require('path');
const { compare } = require('./compare.js');
const { Engine } = require('./engine.js');

const [moduleFile, printingFile, native, ...surveys] = process.argv.slice(2);
const CSV = 3, JSON_FORM = 2; // enum earshot_form
const N_LINKS = 1000, SEED = 1;

let n = 0;

// One case; what `run` throws is shown, what it returns stands behind the name.
function check(name, run) {
    n++;
    try {
        const said = run();
        console.log(`ok ${n} - ${name}${said === undefined ? '' : ` (${said})`}`);
    } catch (error) {
        process.exitCode = 1;
        console.log(`not ok ${n} - ${name}`);
        console.log(String(error.message).replace(/^/gm, '# '));
    }
}

// What a program writes to its stdout.
function output(program, ...words) {
    return execFileSync(path.join(native, program), words, { encoding: 'utf8', maxBuffer: 1 << 28 });
}

function same(wanted, got) {
    const numbers = compare(wanted, got);
    assert(numbers > 0, 'there was no number to compare');
    return `${numbers} numbers`;
}

function differs(wanted, got) {
    assert.throws(() => compare(wanted, got), /native/);
}

// The tables of a survey as the program takes them: its CSV files, and those in materials.
function tables(survey) {
    const found = [];
    for (const folder of ['', 'materials'])
        if (fs.existsSync(path.join(survey, folder)))
            for (const name of fs.readdirSync(path.join(survey, folder)).sort())
                if (name.endsWith('.csv'))
                    found.push([path.join(folder, name), fs.readFileSync(path.join(survey, folder, name))]);
    return found;
}

function imports(file) {
    return WebAssembly.Module.imports(new WebAssembly.Module(fs.readFileSync(file)))
        .map((one) => `${one.module}.${one.name}`);
}

// ---- the comparer ----

check('numbers one apart in the ninth decimal are the same', () => {
    assert.strictEqual(compare('a,-1.5,x\n2,b', 'a,-1.500000001,x\n2,b'), 2);
    assert.strictEqual(compare('0.999999999', '1'), 1);
    assert.strictEqual(compare('-0.000000001', '0'), 1);
});
check('two apart are not', () => {
    differs('a,-1.5,x', 'a,-1.500000002,x');
    differs('1', '0.999999998');
    differs('-0.000000001', '0.000000001');
});
check('another word, another sign, a row less, a number for null are not the same', () => {
    differs('12.5,firm', '12.5,thin');
    differs('-3', '3');
    differs('1\n2\n', '1\n');
    differs('null', '0');
});

// ---- the module ----

check('it imports nothing: no stdio in the library', () => assert.deepStrictEqual(imports(moduleFile), []));
check('a module that prints does, and that is seen', () => {
    const seen = imports(printingFile);
    assert(seen.includes('wasi_snapshot_preview1.fd_write'), `seen: ${seen.join(' ')}`);
});

const bytes = fs.readFileSync(moduleFile);
check('too deep a stack traps', () => {
    const engine = new Engine(bytes);
    engine.calls.dig(900);
    assert.throws(() => engine.calls.dig(1024), WebAssembly.RuntimeError);
});

// ---- answers ----

const engine = new Engine(bytes);
check('reports that need no survey', () => same(output('tests/wasm/native', 'words'), engine.text('write_words')));
for (const folder of surveys) {
    const name = path.join(folder, '.');
    const found = tables(folder);
    if (found.length === 0)
        continue;
    let survey;
    check(`${name} loads`, () => { survey = engine.load(found); });
    if (survey === undefined)
        continue;
    check(`check --json ${name}`, () =>
        same(output('src/cli/earshot', 'check', '--json', folder), engine.text('write_check', survey, JSON_FORM)));
    check(`check --csv ${name}`, () =>
        same(output('src/cli/earshot', 'check', '--csv', folder), engine.text('write_check', survey, CSV)));
    check(`every report of ${name}`, () =>
        same(output('tests/wasm/native', 'reports', folder), engine.text('write_reports', survey)));
    check(`${N_LINKS} random links of ${name}`, () => {
        const wanted = output('tests/wasm/native', 'links', folder, `${SEED}`, `${N_LINKS}`);
        assert.strictEqual(wanted.split('\n').length, N_LINKS + 2);
        return same(wanted, engine.text('write_links', survey, SEED, N_LINKS));
    });
    engine.free(survey);
}
console.log(`1..${n}`);
