/* SPDX-License-Identifier: GPL-3.0-or-later */
/* version.c - the version, from meson.build, in one place. */
#include "earshot/earshot.h"

const char *earshot_version(void) {
    return EARSHOT_VERSION;
}
