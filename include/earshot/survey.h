/* SPDX-License-Identifier: GPL-3.0-or-later */
/* survey.h - one building as tables: load it, or make a small one from a few words.
 *
 * A survey is immutable. An edit is a new load; a what-if passes other ends to the predictions.
 * It may be shared by threads without locks.
 */
#ifndef EARSHOT_SURVEY_H
#define EARSHOT_SURVEY_H

#include <stddef.h>

#include "earshot/findings.h"
#include "earshot/text.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct earshot_survey earshot_survey;

/* Reads and checks a survey. `tables` are CSV files, known by the last part of their names
 * ("site.csv", "materials/radios.csv"), and whatever else of a folder may be a meter's log that
 * columns.csv names; order does not matter, except that of two materials
 * tables of one name the later row wins, name by name, and all win over the tables shipped
 * inside the library. Everything wrong in any table is put into `findings`. Returns EARSHOT_OK
 * and a survey that the caller frees; EARSHOT_INVALID when there were errors,
 * EARSHOT_NO_MEMORY, or EARSHOT_MISUSE for NULL or a table without a name or its bytes; `*out`
 * is then untouched. The bytes may be released after the call. */
enum earshot_status earshot_survey_load(const earshot_bytes *tables, size_t n_tables,
                                        earshot_findings *findings, earshot_survey **out);

/* Which of the files readings come from: readings.csv, columns.csv and the logs that it names.
 * Without them the survey is as if nothing had been read. Sets of[i] to 0 or 1 for each table;
 * EARSHOT_OK, EARSHOT_NO_MEMORY or EARSHOT_MISUSE. */
enum earshot_status earshot_readings_files(const earshot_bytes *tables, size_t n_tables,
                                           unsigned char *of);

/* One link in a few words, for when there is no plan. */
typedef struct earshot_reach {
    const char *const
        *words; /* in any order: a length (12m, 12'6", 16 paces), what is crossed (brick,
                   timber floor, 2 stud), a radio or its band, a mount, an environment, a type
                   of device (smoke, contact, ...); blanks and commas part words */
    size_t n_words;
    const char *rated_range; /* the maker's open-air claim, a length like 500m; NULL: none */
    double band_mhz; /* 0: none; where no word names a radio either, feet take one near 345 MHz,
                        else the first of the radios table is taken, with a finding */
    const char *mount; /* a row of mounts.csv; NULL: none named */
    unsigned heard,
        trips; /* heard `heard` of `trips` test trips; 0 trips: none made; 1,000 at most */
} earshot_reach;

/* Makes a survey of one sensor and one receiver from words, and loads it. `tables` may hold
 * materials tables of the caller's. A finding of a word has the file "words" and the word's
 * number, from 1, as its column. Returns as earshot_survey_load. */
enum earshot_status earshot_survey_new(const earshot_reach *reach, const earshot_bytes *tables,
                                       size_t n_tables, earshot_findings *findings,
                                       earshot_survey **out);

/* A survey that is still to be made: what is known of it, for tables ready to fill. Each string
 * stands in its cell as it is; NULL leaves the cell blank. */
typedef struct earshot_draft_zone {
    const char *device, *type, *room, *length, *crossings, *height, *mount, *radio;
} earshot_draft_zone;

typedef struct earshot_draft {
    const char *name, *country; /* of the site */
    const char *receiver;       /* its name; NULL: "receiver" */
    const char *length_unit;    /* m, ft, in, cm, mm or pace */
    bool rooms;                 /* no plan: site, paths and readings only */
    const earshot_draft_zone *zones;
    size_t n_zones;
} earshot_draft;

/* The tables of a draft, one call each: `i` counts from 0, `*name` becomes the file's name
 * (lasting), and its bytes are appended to `out`. EARSHOT_MISUSE when there is no table `i` or
 * the unit is none of the above (nothing is written then), EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_draft_write(const earshot_draft *draft, size_t i, const char **name,
                                        earshot_text *out);

/* A path of the survey as cells of paths.csv: its length in meters into `length_m`, and what it
 * crosses appended to `crossings`. Rows count from 0. EARSHOT_MISUSE when there is no such row,
 * EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum { EARSHOT_NUMBER_SIZE = 32 };
enum earshot_status earshot_path_write(const earshot_survey *survey, size_t row,
                                       char length_m[EARSHOT_NUMBER_SIZE],
                                       earshot_text *crossings);

/* What columns the tables have, one line for each: name, whether it is needed, unit and limits
 * or the words it takes. Of the table `table` ("walls"), or of all that a survey is made of
 * when NULL. EARSHOT_MISUSE when there is no such table, EARSHOT_NO_MEMORY, or EARSHOT_OK. */
enum earshot_status earshot_columns_write(const char *table, earshot_text *out);

/* The materials tables alone, shipped and the caller's, as a survey without devices: for losses
 * of walls. Returns as earshot_survey_load. */
enum earshot_status earshot_materials_load(const earshot_bytes *tables, size_t n_tables,
                                           earshot_findings *findings, earshot_survey **out);

/* Adds a note for all that looks odd without being wrong: walls that nearly meet or lie on each
 * other, devices inside a wall or in metal, levels that overlap, a receiver closer than a
 * meter, and the like. Nothing of it changes an answer. EARSHOT_OK, EARSHOT_NO_MEMORY, or
 * EARSHOT_MISUSE for NULL. */
enum earshot_status earshot_survey_odd(const earshot_survey *survey,
                                       earshot_findings *findings);

/* Releases a survey. NULL is fine. */
void earshot_survey_free(earshot_survey *survey);

/* The site's name; borrowed from the survey. */
const char *earshot_survey_name(const earshot_survey *survey);

/* Device names by row, borrowed; and the row of a name, or the count of devices when there is
 * none. Rows count from 0 in the order of devices.csv. */
size_t earshot_survey_devices(const earshot_survey *survey);
const char *earshot_survey_device(const earshot_survey *survey, size_t row);
size_t earshot_survey_find(const earshot_survey *survey, const char *device);

/* Scales of meters, of scales.csv: how many, the name of one (borrowed), and one by name (their
 * count: none). */
size_t earshot_survey_scales(const earshot_survey *survey);
const char *earshot_survey_scale(const earshot_survey *survey, size_t row);
size_t earshot_survey_find_scale(const earshot_survey *survey, const char *name);

/* The names of a device's radio and mount ("" where none is named), and of the survey's
 * environment; borrowed. */
const char *earshot_survey_radio(const earshot_survey *survey, size_t row);
const char *earshot_survey_mount(const earshot_survey *survey, size_t row);
const char *earshot_survey_environment(const earshot_survey *survey);

/* The devices that `length` bytes of `word` may mean: the one of that name, else all of that
 * zone number or label (ASCII case ignored). Writes the first `capacity` rows, returns how many
 * there are. */
size_t earshot_survey_meant(const earshot_survey *survey, const char *word, size_t length,
                            size_t *rows, size_t capacity);

#ifdef __cplusplus
}
#endif

#endif
