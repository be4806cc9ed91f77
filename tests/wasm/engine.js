// SPDX-License-Identifier: GPL-3.0-or-later
// engine.js - earshot.wasm as JavaScript sees it: bytes in, texts out. See shim.c.
'use strict';

class Engine {
    // Of the bytes of a module; throws when the module imports anything.
    constructor(bytes) {
        this.calls = new WebAssembly.Instance(new WebAssembly.Module(bytes), {}).exports;
        this.calls._initialize();
    }

    // A survey of tables, each [name, bytes].
    load(tables) {
        const survey = this.calls.survey_new();
        for (const [name, bytes] of tables) {
            const named = new TextEncoder().encode(name);
            const at = this.calls.survey_table(survey, named.length, bytes.length);
            // The memory's buffer is another one after it has grown: ask for it each time.
            const memory = new Uint8Array(this.calls.memory.buffer);
            memory.set(named, at);
            memory.set(bytes, at + named.length + 1);
        }
        this.calls.survey_load(survey);
        return survey;
    }

    free(survey) {
        this.calls.survey_free(survey);
    }

    // What a writer of the module gives, by name: write_check, write_links, ...
    text(writer, ...values) {
        const text = this.calls[writer](...values);
        const at = this.calls.text_data(text);
        const bytes = new Uint8Array(this.calls.memory.buffer, at, this.calls.text_size(text));
        const said = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
        this.calls.text_free(text);
        return said;
    }
}

module.exports = { Engine };
