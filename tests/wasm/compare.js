// SPDX-License-Identifier: GPL-3.0-or-later
// compare.js - two texts are the same but for their numbers, and those within 1e-9.
//
// Reports round numbers to nine decimals at most, so two that are nearly the same may be written one
// apart in the ninth, and never more. The numbers are compared as whole billionths: no rounding here.
'use strict';

const number = /(-?\d+(?:\.\d{1,9})?)/;

function billionths(written) {
    const [whole, decimals = ''] = written.replace('-', '').split('.');
    const size = BigInt(whole + decimals.padEnd(9, '0'));
    return written.startsWith('-') ? -size : size;
}

function areNear(a, b) {
    const apart = billionths(a) - billionths(b);
    return apart >= -1n && apart <= 1n;
}

// How many numbers two lines share; throws at what differs.
function compareLine(wanted, got, line) {
    const a = wanted.split(number), b = got.split(number);
    // Texts have even places, numbers odd ones; of what differs, a JSON line would show too much.
    const around = (parts, i) => parts.slice(Math.max(i - 1, 0), i + 2).join('').slice(-120);
    for (let i = 0; i < Math.max(a.length, b.length); i++)
        if (a[i] !== b[i] && !(i % 2 === 1 && i < a.length && i < b.length && areNear(a[i], b[i])))
            throw new Error(`line ${line}: native '${around(a, i)}', wasm '${around(b, i)}'`);
    return (a.length - 1) / 2;
}

// How many numbers two texts share; throws at the first line that differs.
function compare(wanted, got) {
    const a = wanted.split('\n'), b = got.split('\n');
    let n = 0;
    for (let i = 0; i < Math.min(a.length, b.length); i++)
        n += compareLine(a[i], b[i], i + 1);
    if (a.length !== b.length)
        throw new Error(`native has ${a.length} lines, wasm ${b.length}`);
    return n;
}

module.exports = { compare };
