/* SPDX-License-Identifier: GPL-3.0-or-later */
/* test_base64.c - against the test vectors of RFC 4648, section 10, and the check value of the
 * CRC-32 in the catalogue of parametrised CRC algorithms ("123456789": cbf43926; from memory).
 */
#include "base64.h"

#include <criterion/criterion.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

Test(base64, rfc_4648) {
    static const struct {
        const char *plain, *letters;
    } vectors[] = {{"", ""},
                   {"f", "Zg=="},
                   {"fo", "Zm8="},
                   {"foo", "Zm9v"},
                   {"foob", "Zm9vYg=="},
                   {"fooba", "Zm9vYmE="},
                   {"foobar", "Zm9vYmFy"}};
    for (size_t i = 0; i < COUNT(vectors); i++) {
        earshot_text *text = earshot_text_new();
        unsigned char back[16];
        size_t size = 99;
        base64_write(text, vectors[i].plain, strlen(vectors[i].plain));
        cr_expect_str_eq(earshot_text_data(text), vectors[i].letters);
        cr_assert(base64_read(vectors[i].letters, strlen(vectors[i].letters), back, &size));
        cr_expect_eq(size, strlen(vectors[i].plain));
        cr_expect_eq(memcmp(back, vectors[i].plain, size), 0);
        earshot_text_free(text);
    }
}

Test(base64, any_bytes_in_lines) {
    unsigned char bytes[1000], back[1000];
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)(i * 7 + i / 256);
    for (size_t n = 0; n < sizeof bytes; n++) {
        earshot_text *text = earshot_text_new();
        size_t size = 0;
        base64_write(text, bytes, n);
        const char *line = earshot_text_data(text);
        cr_assert(base64_read(line, strlen(line), back, &size));
        cr_expect(size == n && memcmp(back, bytes, n) == 0, "%zu bytes", n);
        for (size_t length; *line; line += length + (line[length] != '\0')) {
            length = strcspn(line, "\n");
            cr_expect(length > 0 && length <= 76);
        }
        earshot_text_free(text);
    }
}

Test(base64, refuses) {
    static const char *const bad[] = {"Z",        "Zg",   "Zg=",   "Zg===",
                                      "=",        "Z===", "Zg=v",  "Zm8*",
                                      "Zg==Zm9v", "Zm_v", "Zm9v=", "\xC3\xA4=="};
    unsigned char out[16];
    size_t size;
    for (size_t i = 0; i < COUNT(bad); i++)
        cr_expect_not(base64_read(bad[i], strlen(bad[i]), out, &size), "%s", bad[i]);
    cr_expect_not(base64_read("Zm9\0", 4, out, &size));
}

Test(base64, sum) {
    cr_expect_eq(base64_sum("123456789", 9), 0xcbf43926);
    cr_expect_eq(base64_sum("", 0), 0);
}
