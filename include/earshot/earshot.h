/* SPDX-License-Identifier: GPL-3.0-or-later */
/* earshot.h - the whole public interface. See the headers, one per noun. */
#ifndef EARSHOT_EARSHOT_H
#define EARSHOT_EARSHOT_H

#include "earshot/belief.h"
#include "earshot/drawing.h"
#include "earshot/findings.h"
#include "earshot/link.h"
#include "earshot/place.h"
#include "earshot/plans.h"
#include "earshot/report.h"
#include "earshot/survey.h"
#include "earshot/text.h"

#ifdef __cplusplus
extern "C" {
#endif

/* "0.1.0": the version of the library in use. */
const char *earshot_version(void);

#ifdef __cplusplus
}
#endif

#endif
