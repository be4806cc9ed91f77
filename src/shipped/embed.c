/* SPDX-License-Identifier: GPL-3.0-or-later */
/* embed.c - build step: CSV files in, one C file with their bytes out.
 *
 *     embed OUT.c FILE...
 *
 * The shipped materials tables become part of the library, so that program, library and browser
 * agree on them with no path to look up. Not part of the library itself.
 */
#include <stdio.h>
#include <string.h>

static const char *last_part(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static int embed(FILE *out, const char *path, int number) {
    FILE *in = fopen(path, "rb");
    if (!in) {
        perror(path);
        return 1;
    }
    fprintf(out, "static const unsigned char table_%d[] = {", number);
    int byte, n = 0;
    while ((byte = getc(in)) != EOF)
        fprintf(out, "%s%d,", n++ % 24 ? "" : "\n", byte);
    fprintf(out, "\n};\n");
    return fclose(in);
}

int main(int argc, char **argv) {
    FILE *out = argc > 2 ? fopen(argv[1], "w") : NULL;
    if (!out) {
        fprintf(stderr, "usage: embed OUT.c FILE...\n");
        return 2;
    }
    fprintf(out, "/* Made by embed.c from the materials tables. */\n#include \"rows.h\"\n");
    for (int i = 2; i < argc; i++)
        if (embed(out, argv[i], i))
            return 1;
    fprintf(out, "const earshot_bytes survey_shipped[] = {\n");
    for (int i = 2; i < argc; i++)
        fprintf(out, "    {\"shipped/%s\", table_%d, sizeof table_%d},\n", last_part(argv[i]),
                i, i);
    fprintf(out, "};\nconst size_t survey_n_shipped = %d;\n", argc - 2);
    return fclose(out) ? 1 : 0;
}
