# SPDX-License-Identifier: GPL-3.0-or-later
# Counts the cases of a test run, and shows what failed:
#
#   awk -f tally.awk LOG.json RS='<' LOG.junit.xml RS='\n' LOG.txt
#
# The first line is "PASSED FAILED SKIPPED", the rest the output of the programs that failed. The
# XML has every case, but no word of a program that timed out, or that ended badly after its cases
# had passed; the JSON has one result for each program. A program that the JSON calls bad and the
# XML shows no failure of is one more failure.

# JSON: one program a line, its name first.
FILENAME ~ /json$/ {
    if (match($0, /"result": "(FAIL|ERROR|TIMEOUT|INTERRUPT|UNEXPECTEDPASS)"/)) {
        name = $0
        sub(/^[^:]*: "/, "", name)
        sub(/".*/, "", name)
        bad[name] = 1
    }
    next
}

# XML: one tag a record. A program with cases of its own is a suite, "earshot.NAME"; the others are
# cases of the suite "earshot".
function attribute(key) {
    if (!match($0, " " key "=\"[^\"]*\""))
        return ""
    return substr($0, RSTART + length(key) + 3, RLENGTH - length(key) - 4)
}
FILENAME ~ /xml$/ && /^testsuite / {
    suite = attribute("name")
    grouped = !sub(/^[^.]*\./, "", suite)
}
FILENAME ~ /xml$/ && /^testcase / {
    n_cases++
    program = grouped ? attribute("name") : suite
    if (grouped)
        alone[program] = 1
}
FILENAME ~ /xml$/ && /^(failure|error)[ \/>]/ { n_failed++; shown[program] = 1 }
FILENAME ~ /xml$/ && /^skipped/ { n_skipped++ }
FILENAME ~ /xml$/ { next }

# Text: a program's part begins with a ruled line and its name.
FNR == 1 {
    for (name in bad)
        if (!(name in shown)) {
            n_failed++
            n_after += !(name in alone)
        }
    print n_cases - n_failed - n_skipped + n_after, n_failed + 0, n_skipped + 0
}
/^=+ [0-9]+\/[0-9]+ =+$/ { showing = 0 }
/^test: / { name = $0; sub(/^test: +/, "", name); showing = name in bad }
showing
