# SPDX-License-Identifier: GPL-3.0-or-later
# Splits case files (see tests/cli/run) into a folder for each case under `work`: name, script,
# code, want-out, want-err, and T with the case's files. Prints how many, or what is wrong.
#
# In want-out and want-err each line has a sign in front: = as it stands, ~ with open places.

function fault(what) {
    print FILENAME ":" FNR ": " what
    broken = 1
    exit 2
}

function rest(mark) {
    return substr($0, length(mark) + 2)
}

function finish() {
    if (!has_command)
        fault("the case before this has no $ line")
    print code > (folder "/code")
    close(folder "/code")
    close(folder "/script")
    close(folder "/want-out")
    close(folder "/want-err")
}

function end_of_file() {
    if (n == ended)
        fault("no case in this file or the one before it")
    finish()
}

FNR == 1 {
    if (NR > 1)
        end_of_file()
    ended = n
    file = ""
}
/^== ./ {
    if (n > ended)
        finish()
    folder = work "/" ++n
    code = 0
    has_command = 0
    file = ""
    if (index($0, "#"))
        fault("a case's name holds no #")
    if (system("mkdir -p " folder "/T && cd " folder " && : >want-out && : >want-err"))
        fault("cannot make a folder for the case")
    print rest("==") > (folder "/name")
    close(folder "/name")
    next
}
/^(#.*)?$/ { next }
n == ended { fault("a case begins with == and a name") }

/^@ [A-Za-z0-9._-]+$/ {
    if (file)
        close(file)
    file = folder "/T/" rest("@")
    printf "" > file
    next
}
/^\|( |$)/ {
    if (!file)
        fault("no @ line says which file this line belongs to")
    print rest("|") > file
    next
}
file { close(file); file = "" }

/^\$ ./ { print rest("$") > (folder "/script"); has_command = 1; next }
/^>( |$)/ { print "=" rest(">") > (folder "/want-out"); next }
/^>~ / { print "~" rest(">~") > (folder "/want-out"); next }
/^>\.\.\.$/ { print "~..." > (folder "/want-out"); next }
/^!( |$)/ { print "=" rest("!") > (folder "/want-err"); next }
/^!~ / { print "~" rest("!~") > (folder "/want-err"); next }
/^!\.\.\.$/ { print "~..." > (folder "/want-err"); next }
/^\? [0-9]+$/ { code = rest("?"); next }
{ fault("no mark that a case file knows stands at the start of this line") }

END {
    if (broken)
        exit 2
    end_of_file()
    print n
}
