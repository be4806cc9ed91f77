/* SPDX-License-Identifier: GPL-3.0-or-later */
/* survey.h - a checked survey: ids resolved to rows, units turned into meters, MHz and dB once.
 *
 * What the engine reads. Rows are in table order and every reference is a row number or NONE.
 * Strings are for names in reports only; they live in the sheets, which the survey owns.
 * A value that the table left blank is not a number until its default is put in, and the
 * default is named in a note.
 */
#ifndef SURVEY_SURVEY_H
#define SURVEY_SURVEY_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/link.h"
#include "earshot/survey.h"
#include "findings.h"
#include "geometry.h"

enum { SURVEY_MAX_CONSTRUCTIONS = 256 }; /* so that a link's feature row fits on the stack */

enum survey_class {
    SURVEY_CLASS_WALL,
    SURVEY_CLASS_FLOOR,
    SURVEY_CLASS_DOOR,
    SURVEY_CLASS_WINDOW
};

/* One row of penetration.csv that is in use, by rising frequency within its construction. */
typedef struct survey_penetration {
    double freq_mhz, loss_db, sd_db;
    const char *source;
} survey_penetration;

/* ITU-R P.2040: relative permittivity a f^b, conductivity c f^d S/m, f in GHz. */
typedef struct survey_dielectric {
    const char *name, *source;
    double a, b, c, d;
    double min_ghz, max_ghz;
} survey_dielectric;

typedef struct survey_layer {
    size_t dielectric;
    double thickness_m;
} survey_layer;

enum { SURVEY_MAX_LAYERS = 16 }; /* of one construction */

typedef struct survey_construction {
    const char *name, *note;
    enum survey_class class;
    size_t first_row, n_rows;     /* into penetrations; effective rows where there are any */
    size_t first_layer, n_layers; /* into layers, in order through the wall */
    bool effective;               /* its rows are per crossing, measured in buildings */
    bool in_use;                  /* a wall, opening, floor or path row is built of it */
} survey_construction;

typedef struct survey_environment {
    const char *name, *source;
    bool walls_drawn;
    double exponent, exponent_sd;
    double shadow_sd_db;
    double wall_saturation, wall_saturation_sd;
    double static_k_db, time_k_db; /* -INFINITY: Rayleigh */
    bool floors_saturate;
    double floor_b; /* COST 231 final report, section 4.7 */
} survey_environment;

typedef struct survey_radio {
    const char *name, *source;
    double freq_mhz;
    double eirp_dbm, eirp_sd_db; /* not a number: not known */
    double sensitivity_dbm;      /* as a listener; not a number: by the next three */
    double bandwidth_khz, noise_figure_db, snr_needed_db; /* not a number: not known */
    double sensitivity_sd_db;
    double antenna_dbi, antenna_sd_db; /* as a listener */
    double rated_range_m;              /* the maker's open-air claim; 0: none */
    bool two_way;                      /* answers are sent back, and must be heard too */
    unsigned hops;       /* frequencies that one alarm is sent on, 5 MHz or more apart */
    double check_in_min; /* interval of supervision; 0: none */
    bool average;        /* eirp_dbm is an average over time, not a peak */
} survey_radio;

typedef struct survey_mount {
    const char *name, *source;
    double loss_db, sd_db;
} survey_mount;

/* A word for a construction: its own name, or a pick of walls-by-look.csv. */
typedef struct survey_name {
    const char *name;
    size_t construction;
} survey_name;

/* What an eye, a knuckle, a magnet and a drill can tell of a construction. */
enum { SURVEY_N_SIGNS = 6 }; /* pick, look, knock, drill dust, thickness, house age */
typedef struct survey_look {
    const char *sign[SURVEY_N_SIGNS];
    size_t construction;
    const char *ask; /* a thing that takes more than it looks, by name; "": an ordinary wall */
} survey_look;

/* The slab of a level is at floor_z_m; construction NONE: there is none. */
typedef struct survey_level {
    const char *name;
    double floor_z_m, height_m;
    size_t construction;
    size_t floor; /* into building.floors, or NONE */
    unsigned table_line;
} survey_level;

typedef struct survey_wall {
    const char *name;
    size_t level, construction;
    unsigned table_line;
} survey_wall;

typedef struct survey_opening {
    const char *name;
    size_t wall, construction;
    unsigned table_line;
} survey_opening;

enum survey_role { SURVEY_SENSOR, SURVEY_RECEIVER, SURVEY_REPEATER };

typedef struct survey_device {
    const char *name, *label, *room, *serial, *type;
    enum survey_role role;
    bool life_safety;
    bool unsupervised;
    bool not_relayed;     /* by its type: a repeater does not pass it on */
    unsigned zone, input; /* 0: none */
    size_t level;         /* NONE without coordinates */
    geometry_place place; /* not a number: not known */
    size_t radio, mount;  /* mount may be NONE */
    size_t listener;      /* number among the listeners, or NONE for a sensor */
    size_t first_heard,
        n_heard;         /* into heard: device rows; n_heard 0 on a listener: all sensors */
    unsigned table_line; /* in devices.csv, for notes that come later */
} survey_device;

/* A row of paths.csv. Crossings are constructions in walking order. */
typedef struct survey_path {
    size_t device, to;
    double length_m;
    size_t first_crossing, n_crossings; /* into crossings: construction rows */
    size_t mount;                       /* wins over the device's, or NONE */
    unsigned table_line;
} survey_path;

typedef struct survey_spot {
    const char *name, *note;
    geometry_place place;
    bool mains, protected, network, near_metal, reachable_by_intruder;
} survey_spot;

enum survey_placed { SURVEY_IN_PLACE, SURVEY_HELD, SURVEY_WALKED };

/* A row of readings.csv that can be used. */
typedef struct survey_reading {
    size_t heard_at;          /* device row of the listener */
    size_t device;            /* NONE: a walked point */
    geometry_place place;     /* of a walked point; else not a number */
    size_t radio;             /* what was sent with: the device's, or that of a walked point */
    bool none;                /* not heard at all */
    double low_dbm, high_dbm; /* the level lies between; equal: a value; infinite: open; not a
                                 number: no level */
    size_t scale;             /* NONE: dBm of no named meter */
    size_t edge; /* of an interval, the step within all steps of all scales: readings of one
                    step share its edges' error; NONE: a value */
    double edge_sd_db;     /* 0: a value */
    unsigned trips, heard; /* trips 0: not counted */
    double noise_dbm;      /* not a number: not given */
    double pad_db;
    enum survey_placed placed;
    bool doors_open, as_left;
    bool accepted;    /* somebody looked at it again and it stands, however odd it is */
    size_t visit;     /* number among the visits, by first mention; a blank one is one too */
    const char *time; /* as written */
    const char *file; /* that it stands in: readings.csv, or a log */
    unsigned table_line;
} survey_reading;

/* A row whose cell in the column reading nobody can take as it stands; all else of it is good.
 */
typedef struct survey_aside {
    survey_reading reading;
    const char *cell;
} survey_aside;

/* A step or a point of a scale: at `reading` the meter sees dbm, or begins to. */
typedef struct survey_step {
    double reading, dbm, edge_sd_db;
} survey_step;

typedef struct survey_scale {
    const char *name, *source;
    double offset_sd_db;
    double floor_dbm;    /* below it nothing is shown; not a number: what the listener needs */
    double top, top_dbm; /* the most that is shown, and from where on; not a number: none */
    bool by_steps;       /* bars; else points of straight lines, or dBm itself without any */
    size_t first_step, n_steps; /* into steps, rising */
} survey_scale;

/* Man-made noise around the receiver: the categories of ITU-R P.372. */
enum survey_surroundings {
    SURVEY_CITY,
    SURVEY_RESIDENTIAL,
    SURVEY_RURAL,
    SURVEY_QUIET_RURAL,
    SURVEY_NO_SURROUNDINGS /* not said: only the receiver's own noise */
};

typedef struct survey_wired {
    unsigned low, high;
} survey_wired;

typedef struct survey_site {
    const char *name, *country, *environment, *use;
    enum survey_surroundings surroundings;
    double required_margin_db, life_safety_margin_db;
    double confidence, life_safety_confidence;
    double pace_m;
    const survey_wired *wired; /* ranges of zone numbers that are wired */
    size_t n_wired;
    double zones_per_repeater; /* the most that one passes on; infinite: not said */
    unsigned not_relayed;      /* types that repeaters do not pass on, a bit each */
    double north_deg;
    /* What stands on what is handed over; "": not given. */
    const char *company, *phone, *technician, *competence, *meter, *decisions;
} survey_site;

/* A row of site.csv with a note of somebody's own. */
typedef struct survey_remark {
    const char *key, *value, *note;
} survey_remark;

/* The files that a finding may still be made of after the load: places without a line. */
typedef struct survey_files {
    findings_place levels, walls, openings, devices, paths, readings, penetration;
} survey_files;

struct survey_storage;

struct earshot_survey {
    struct survey_storage *storage; /* everything below lives in it */
    survey_files files;
    survey_site site;
    survey_environment environment;

    survey_dielectric *dielectrics;
    size_t n_dielectrics;
    survey_construction *constructions;
    size_t n_constructions;
    survey_layer *layers;
    size_t n_layers;
    survey_penetration *penetrations;
    size_t n_penetrations;
    survey_name *names;
    size_t n_names;
    struct survey_names *by_name; /* which of them is called so: to the construction */
    struct survey_names *by_word; /* the same by plain words */
    survey_look *looks;
    size_t n_looks;
    survey_radio *radios;
    size_t n_radios;
    survey_mount *mounts;
    size_t n_mounts;
    survey_scale *scales;
    size_t n_scales;
    survey_step *steps;
    size_t n_steps;

    survey_level *levels;
    size_t n_levels;
    survey_wall *walls; /* one for one with building.panels */
    size_t n_walls;
    survey_opening *openings; /* one for one with building.openings */
    size_t n_openings;
    size_t *floor_levels; /* of building.floors: their level */
    geometry_building building;
    geometry_index *index; /* of the building */

    survey_device *devices;
    size_t n_devices, n_listeners;
    size_t *listeners; /* their rows among the devices, in order */
    size_t *heard;
    survey_path *paths;
    size_t n_paths;
    size_t *crossings;
    struct survey_names *path_names; /* paths by the device's row and the listener's name */
    survey_spot *spots;
    size_t n_spots;
    survey_remark *remarks;
    size_t n_remarks;
    survey_reading *readings;
    size_t n_readings;
    survey_aside *aside;
    size_t n_aside;
    size_t n_set_aside; /* rows that say something and cannot be used */
    const char **visits;
    size_t n_visits;
    const char **logs; /* files of readings beside readings.csv */
    size_t n_logs;
    double *noise_dbm; /* by listener: the most it has read; -INFINITY: nothing */
};

/* The construction that people call `length` bytes of `word`: case does not matter, blanks
 * count as hyphens, a plural s may be there. NONE when nobody calls anything so. */
size_t survey_pick(const earshot_survey *survey, const char *word, size_t length);

/* "did you mean 'a', 'b' or 'c'?" or, when nothing is near, "known: a, b, ..." into `out`. */
enum { SURVEY_HINT_SIZE = 400 };
void survey_hint(char out[SURVEY_HINT_SIZE], const char *word, const void *names, size_t n,
                 size_t stride);

/* A line of one of the survey's files, for a finding. */
findings_place survey_line(findings_place file, unsigned line);

/* Whether a file holds readings: readings.csv, or a log. */
bool survey_holds_readings(const earshot_survey *survey, const char *file);

/* Where a reading stands. */
findings_place survey_reading_place(const earshot_survey *survey,
                                    const survey_reading *reading);

/* A device as the end of a link, and the link from `device` to `listener`: by its path row
 * where an end has no coordinates. */
earshot_end survey_end(const survey_device *device);
earshot_link survey_link(const earshot_survey *survey, size_t device, size_t listener);

/* What a meter of this scale (NONE: dBm) shows of a level: the bar that has begun, 0 below the
 * first; between points of straight lines what lies there, no less and no more than it has; dBm
 * itself where the scale has neither. */
double survey_shown(const earshot_survey *survey, size_t scale, double level_dbm);

/* The other way: the level of a reading on a scale, or its edges; false: there is no such bar.
 */
bool survey_on_scale(const earshot_survey *survey, size_t scale, double shown,
                     survey_reading *reading);

/* The path row from `device` to `listener`, or n_paths. */
size_t survey_path_between(const earshot_survey *survey, size_t device, size_t listener);

/* Looks `name` up among `n` names that stand `stride` bytes apart, first member a string.
 * Returns the row, or n. */
size_t survey_find(const char *name, const void *names, size_t n, size_t stride);

/* What the site asks of a link: the margin, and how sure it is. */
double survey_asked_db(const earshot_survey *survey, bool life_safety);
double survey_confidence(const earshot_survey *survey, bool life_safety);

/* Whether two radios are of one band. */
bool survey_share_band(const earshot_survey *survey, size_t radio, size_t other);

/* Whether `listener` hears `device` by its "hears" column. A sensor hears nothing; a repeater
 * is heard by receivers only, and does not take what the site says is not relayed. */
bool survey_hears(const earshot_survey *survey, size_t listener, size_t device);

#endif
