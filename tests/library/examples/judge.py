#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""judge.py - an example of a host in another language: earshot by ctypes, nothing to install.

    python3 judge.py surveys/demo/*.csv

The same as judge.c beside it. The classes below mirror the open structs of the headers, field by
field; everything else stays behind a pointer. A host that wants answers as text needs none of
them: earshot_check_write gives all of it as JSON.
"""
import sys
from ctypes import (CDLL, POINTER, Structure, byref, c_bool, c_char_p, c_double, c_int, c_size_t,
                    c_uint, c_void_p)
from pathlib import Path

OK, NOTE = 0, 1  # EARSHOT_OK, EARSHOT_NOTE


class Bytes(Structure):  # text.h
    _fields_ = [("name", c_char_p), ("data", c_char_p), ("size", c_size_t)]


class Finding(Structure):  # findings.h
    _fields_ = [("severity", c_int), ("code", c_char_p), ("file", c_char_p), ("line", c_uint),
                ("column", c_uint), ("sentence", c_char_p), ("times", c_uint)]


class End(Structure):  # link.h
    _fields_ = [("x_m", c_double), ("y_m", c_double), ("z_m", c_double), ("radio", c_size_t),
                ("mount", c_size_t), ("bias", c_size_t)]


class Link(Structure):
    _fields_ = [("from_", End), ("to", End), ("device", c_size_t), ("listener", c_size_t),
                ("path", c_size_t), ("life_safety", c_bool)]


class Prediction(Structure):
    _fields_ = [(name, c_double) for name in (
        "distance_m", "loss_db", "rx_power_dbm", "expected_reading_dbm", "reading_sd_db",
        "needed_dbm", "margin_db", "margin_sd_db", "required_margin_db", "spare_db",
        "chance")] + [("verdict", c_int), ("basis", c_int), ("notes", c_uint)]


class Zone(Structure):  # report.h
    _fields_ = [("device", c_size_t), ("link", Link), ("prediction", Prediction)]


def load_library():
    """The functions used here, with what they take and return."""
    library = CDLL("libearshot.so.0")
    new, out = c_void_p, POINTER(c_void_p)
    for name, returns, takes in (
            ("findings_new", new, []),
            ("findings_free", None, [c_void_p]),
            ("findings_count", c_size_t, [c_void_p]),
            ("findings_at", Finding, [c_void_p, c_size_t]),
            ("survey_load", c_int, [POINTER(Bytes), c_size_t, c_void_p, out]),
            ("survey_free", None, [c_void_p]),
            ("survey_devices", c_size_t, [c_void_p]),
            ("survey_device", c_char_p, [c_void_p, c_size_t]),
            ("belief_fit", c_int, [c_void_p, c_void_p, c_void_p, c_void_p, out]),
            ("belief_free", None, [c_void_p]),
            ("zones_judge", c_int, [c_void_p, c_void_p, POINTER(Zone), c_size_t,
                                    POINTER(c_size_t)]),
            ("verdict_word", c_char_p, [c_int])):
        function = getattr(library, "earshot_" + name)
        function.restype, function.argtypes = returns, takes
    return library


def tell_findings(library, findings):
    for i in range(library.earshot_findings_count(findings)):
        finding = library.earshot_findings_at(findings, i)
        note = "note: " if finding.severity == NOTE else ""
        print(f"{finding.file.decode()}:{finding.line}:{finding.column}: "
              f"{note}{finding.sentence.decode()}", file=sys.stderr)


def tell_zones(library, survey, belief):
    zones = (Zone * (library.earshot_survey_devices(survey) + 1))()
    n_zones = c_size_t()
    if library.earshot_zones_judge(survey, belief, zones, len(zones), byref(n_zones)) != OK:
        sys.exit("memory ran out")
    for zone in zones[:n_zones.value]:
        device = library.earshot_survey_device(survey, zone.device).decode()
        verdict = library.earshot_verdict_word(zone.prediction.verdict).decode()
        print(f"{device:<16} {verdict:<10} {zone.prediction.spare_db:7.3f} dB to spare")


def main(paths):
    library = load_library()
    contents = [Path(path).read_bytes() for path in paths]
    tables = (Bytes * len(paths))(*(Bytes(path.encode(), data, len(data))
                                    for path, data in zip(paths, contents)))
    findings, survey, belief = library.earshot_findings_new(), c_void_p(), c_void_p()
    try:
        status = library.earshot_survey_load(tables, len(tables), findings, byref(survey))
        tell_findings(library, findings)
        if status != OK or library.earshot_belief_fit(
                survey, None, None, findings, byref(belief)) != OK:
            sys.exit(1)
        tell_zones(library, survey, belief)
    finally:
        library.earshot_belief_free(belief)
        library.earshot_survey_free(survey)
        library.earshot_findings_free(findings)


if __name__ == "__main__":
    main(sys.argv[1:])
