# SPDX-License-Identifier: GPL-3.0-or-later
# awk -f settle.awk WANTED GOT: prints GOT; where a line fits an open line of WANTED (sign ~, see
# cases.awk), prints that line instead, so that a diff against WANTED shows true differences only.

# Whether `line` is `pattern`, each # of which stands for a number and each blank for a run of them.
function fits(pattern, line,    at, piece) {
    gsub(/ +/, " ", pattern)
    gsub(/ +/, " ", line)
    while ((at = index(pattern, "#"))) {
        piece = substr(pattern, 1, at - 1)
        if (substr(line, 1, at - 1) != piece)
            return 0
        line = substr(line, at)
        if (!match(line, /^[-+]?[0-9]+(\.[0-9]+)?/))
            return 0
        line = substr(line, RLENGTH + 1)
        pattern = substr(pattern, at + 1)
    }
    return line == pattern
}

function is_same(i, line) {
    return open[i] ? fits(wanted[i], line) : line == wanted[i]
}

# `..` in the middle: the lines up to the first that fits what comes next; at the end: the rest.
function ends_gap(line) {
    return at_line < n_wanted && is_same(at_line + 1, line)
}

BEGIN { T = ENVIRON["T"] }

FILENAME == ARGV[1] {
    wanted[++n_wanted] = substr($0, 2)
    open[n_wanted] = /^~/
    gap[n_wanted] = $0 == "~..."
    next
}
FNR == 1 { at_line = 1 }
{
    line = ""
    while ((at = index($0, T))) {
        line = line substr($0, 1, at - 1) "$T"
        $0 = substr($0, at + length(T))
    }
    line = line $0
    if (gap[at_line] && !ends_gap(line))
        next
    if (gap[at_line]) {
        print "..."
        at_line++
    }
    print (open[at_line] && !gap[at_line] && fits(wanted[at_line], line)) ? wanted[at_line] : line
    at_line++
}
END {
    if (!at_line)
        at_line = 1
    if (gap[at_line])
        print "..."
}
