# SPDX-License-Identifier: GPL-3.0-or-later
# The rules of the rooms that need the text of a file; see tests/rooms/check. `headers` lists the
# headers under src. Comments, strings and character constants are blanked before words are looked
# for, so that a sentence may speak of stdout.

BEGIN {
    # Data flows this way, and a room may include the headers of the rooms before it.
    n = split("text findings geometry tables plans survey chance engine calibration planning drawing report cli",
              order, " ")
    for (i = 1; i <= n; i++)
        rank[order[i]] = i
    n = split(headers, path, " ")
    for (i = 1; i <= n; i++) {
        split(path[i], part, "/")
        owners[base(path[i])] = owners[base(path[i])] " " part[2]
    }
    output = any("v?(f|d|s|sn)?printf|f?puts|f?putc|putchar|perror|fwrite|fopen|freopen|tmpfile|" \
                 "stdin|stdout|stderr")
    leave = any("(exit|_Exit|quick_exit|abort)[ \t]*\\(.*") # a call: the word alone may be a field
    locale = any("setlocale|strto(d|f|ld)|atof|pthread_[a-z_]+|thrd_[a-z]+|" \
                 "is(alpha|digit|alnum|space|upper|lower|punct|print)|to(upper|lower)")
    jumps = any("setjmp|longjmp")
    memory = any("malloc|calloc|realloc|aligned_alloc|free")
    system_header = "^(stdio|locale|setjmp|signal|threads|pthread|time|ctype|unistd|fcntl|sys/.*)\\.h$"
}

# GLPK has no other way to say that memory ran out than a hook that jumps: there, and nowhere else.
function is_cover() {
    return FILENAME == "src/planning/cover.c"
}

function any(words) {
    return "(^|[^A-Za-z0-9_])(" words ")([^A-Za-z0-9_]|$)"
}

function base(path) {
    sub(/.*\//, "", path)
    return path
}

function breach(rule, what) {
    print FILENAME ":" FNR ": " rule ": " what
}

# The line without comments, and with literals emptied.
function bare(line,    out, mark, at) {
    out = ""
    while (line != "") {
        if (in_comment) {
            if (!(at = index(line, "*/")))
                return out
            line = substr(line, at + 2)
            in_comment = 0
        } else if (match(line, /\/\*|\/\/|["']/)) {
            mark = substr(line, RSTART, RLENGTH)
            out = out substr(line, 1, RSTART - 1) " "
            line = substr(line, RSTART + RLENGTH)
            if (mark == "//")
                return out
            if (mark == "/*") {
                in_comment = 1
                continue
            }
            match(line, mark == "'" ? "^([^'\\\\]|\\\\.)*'" : "^([^\"\\\\]|\\\\.)*\"")
            line = substr(line, RLENGTH > 0 ? RLENGTH + 1 : 1)
            out = out mark mark
        } else
            return out line
    }
    return out
}

function check_include(name,    n, i, owner) {
    if (name ~ /\.\./)
        breach("up", "an include does not climb folders")
    if (name == "csv.h" && room != "tables" && area != "tests")
        breach("csv", "only src/tables reads CSV bytes")
    if (name ~ /^gsl\// && room != "chance" && room != "calibration" && area != "tests")
        breach("gsl", "only src/chance and src/calibration use GSL")
    if (name == "glpk.h" && !is_cover() && area != "tests")
        breach("glpk", "only src/planning/cover.c uses GLPK")
    if (name ~ /^cairo/ && FILENAME != "src/cli/paint.c")
        breach("cairo", "only src/cli/paint.c uses cairo")
    if ((name == "expat.h" || name == "jansson.h") && room != "plans" && area != "tests")
        breach("plans", "only src/plans reads XML and JSON")
    if (library && name ~ system_header && !(name == "setjmp.h" && is_cover()))
        breach("header", "the library has no use for " name)
    if (area == "include" && name !~ /^earshot\// && base(name) in owners)
        breach("public", "a public header includes public headers only")
    if (area != "src" || name ~ /\// || !(name in owners))
        return
    n = split(owners[name], owner, " ")
    for (i = 1; i <= n; i++)
        if (owner[i] == room)
            return
    if (n > 1)
        breach("twice", "several rooms have a header " name)
    else if (rank[owner[1]] > rank[room])
        breach("order", room " stands before " owner[1] " and cannot include its headers")
}

# A variable that outlives its function and can change. `declaration` runs up to = ; or {. There may
# be what says that GSL has been told to keep still (calibration/solve.c), and what a signal leaves
# (cli/stop.c).
function is_mutable(declaration) {
    if (declaration ~ /static atomic_int/ && FILENAME ~ /^src\/(calibration\/solve|cli\/stop)\.c$/)
        return 0
    if (declaration ~ /\*/)
        return declaration !~ /\*[ ]*const[^*]*$/
    return declaration !~ /(^|[ ])const[ ]/
}

FNR == 1 {
    n = split(FILENAME, part, "/")
    area = part[1]
    room = area == "src" ? part[2] : ""
    # src/shipped is no room: a program that runs while the library is built.
    library = area == "include" || (area == "src" && room != "cli" && room != "shipped")
    in_comment = 0
    gathering = 0
    if ($0 != "/* SPDX-License-Identifier: GPL-3.0-or-later */")
        breach("spdx", "the first line is not the SPDX line")
    if (area == "src" && (n < 3 || !(room in rank)) && room != "shipped")
        breach("room", "not in one of the rooms; a new one joins the order in tests/rooms/rules.awk")
}

!in_comment && /^[ \t]*#[ \t]*include[ \t]*["<]/ {
    name = $0
    sub(/^[^"<]*["<]/, "", name)
    sub(/[">].*/, "", name)
    check_include(name)
    next
}

{ code = bare($0) }

library && code ~ output { breach("output", "only src/cli reads and writes files") }
library && code ~ leave { breach("exit", "only src/cli leaves the program") }
library && code ~ locale { breach("locale", "depends on locale or threads") }
library && code ~ jumps && !is_cover() { breach("jump", "no long jumps but GLPK's in src/planning/cover.c") }
(room == "engine" || FILENAME ~ /^src\/geometry\/cross\.c$/) && code ~ memory {
    breach("memory", "allocates while predicting")
}

area == "tests" { next }

# static, up to the sign that tells a variable from a function.
code ~ /^[ \t]*(static|_Thread_local)[ ]/ { pending = ""; gathering = 1 }
gathering {
    pending = pending " " code
    if (match(pending, /[;{=(]/)) {
        gathering = 0
        if (substr(pending, RSTART) ~ /^\([ ]*\*/) # a pointer to a function
            mutable = pending !~ /\([ ]*\*[ ]*const/
        else
            mutable = substr(pending, RSTART, 1) != "(" && is_mutable(substr(pending, 1, RSTART - 1))
        if (mutable)
            breach("static", "a static variable that can change")
    }
}

# A global: begins a line, has no parenthesis, ends in = or ; (our format indents all else).
code ~ /^[A-Za-z_][A-Za-z0-9_ *]*[ *][A-Za-z_][A-Za-z0-9_]*(\[[^]]*\])*[ ]*[=;]/ &&
code !~ /^(typedef|static|extern|_Thread_local|enum [a-z_]+;|union [a-z_]+;|struct [a-z_]+;)/ {
    match(code, /[=;]/)
    if (is_mutable(substr(code, 1, RSTART - 1)))
        breach("global", "a global variable that can change")
}
