/* SPDX-License-Identifier: GPL-3.0-or-later */
/* codes.h - every finding: FINDING(name, severity, code, sentence with slots {1} to {4}).
 *
 * One list, included wherever a table of codes, severities or sentences is wanted; no include
 * guard, on purpose. The comment above a code gives examples of when it happens. A sentence
 * says what is wrong, with the value in quotes, then what to do: lowercase, no full stop.
 */

/* Memory ran out while findings were collected; needs no memory itself. */
FINDING(MEMORY, ERROR, "memory", "memory ran out; close other programs or split the survey")
/* A file with more than 1,000 findings. {1}: how many more. */
FINDING(AND_MORE, NOTE, "and-more",
        "and {1} more in this file; mend the first ones and run again")
FINDING(AND_MORE_ERRORS, ERROR, "and-more-errors",
        "and {1} more in this file; mend the first ones and run again")

/* Tables as text (src/tables). */

/* A workbook, a PDF or a saved web page renamed to .csv. {1}: what it is. */
FINDING(
    OTHER_FILE, ERROR, "other-file",
    "this file is {1}, whatever its name says; open it in its program and save the table as "
    "'CSV UTF-8'")
/* A spreadsheet's "Unicode text" export. */
FINDING(UTF16, ERROR, "utf-16",
        "this file looks like UTF-16, two bytes for each character; in the spreadsheet choose "
        "'save as CSV UTF-8' and try again")
/* A table saved in the code page of Western Windows, where an umlaut is one byte. {1}: what the
 * byte is there. */
FINDING(OLD_CODE_PAGE, ERROR, "old-code-page",
        "this file is not UTF-8 text; it looks like Windows-1252 (Latin-1), where here stands "
        "'{1}'; "
        "in the spreadsheet choose 'save as CSV UTF-8' and try again")
/* A picture renamed to .csv. */
FINDING(
    NOT_UTF8, ERROR, "not-utf8",
    "this file is not UTF-8 text from here on; in the spreadsheet choose 'save as CSV UTF-8' "
    "and try again")
/* A file that a full disk cut short and filled with zeros. */
FINDING(
    ZERO_BYTE, ERROR, "zero-byte",
    "a zero byte stands here, which no text has; in the spreadsheet choose 'save as CSV UTF-8' "
    "and try again")
/* A 5" pipe in a cell without quotes around it. {1}: the cell up to the quote. */
FINDING(
    QUOTE_INSIDE, ERROR, "quote-inside",
    "'{1}' has a quote mark inside the cell; leave it out, or put quotes around the whole cell "
    "and write the inner one twice")
/* "north" wall; or an opening quote forgotten, or never closed, further up. {1}: the cell up to
 * what follows the quote, {2}: the line on which the cell begins. */
FINDING(QUOTE_AFTER, ERROR, "quote-after",
        "'{1}' goes on after its closing quote (the cell begins on line {2}); put quotes "
        "around the "
        "whole cell, or take them out")
/* A cell that begins with a quote, and no other quote down to the end of the file. {1}: its
 * beginning. */
FINDING(QUOTE_OPEN, ERROR, "quote-open",
        "'{1}' opens a quote that is never closed; put a quote at the end of the cell, or take "
        "this "
        "one out")
/* An empty file; a file of blank lines. */
FINDING(NO_HEADER, ERROR, "no-header",
        "this file has no rows; write the names of the columns into its first row")
/* Two columns called x_m. {1}: the name, {2} and {3}: the letters of the columns. */
FINDING(HEADER_TWICE, ERROR, "header-twice",
        "'{1}' is the name of column {2} and of column {3}; rename or delete one of them")
/* A column of numbers with nothing above it in the first row. {1}: the column's letter, {2}:
 * its first cell, {3}: the line of that cell. */
FINDING(HEADER_BLANK, ERROR, "header-blank",
        "column {1} has no name but holds '{2}' on line {3}; write a name here, or clear the "
        "column")
/* "Survey of the house" alone in the first row. {1}: what stands there, {2}: the line of the
 * names below. */
FINDING(
    TITLE_ABOVE, ERROR, "title-above",
    "'{1}' is a title, and the first line is for the names of the columns; delete what stands "
    "above line {2}")
/* A comma inside a text that has no quotes around it; a remark to the right of the table. {1}:
 * the cell, {2}: how many columns the header has. */
FINDING(CELL_BEYOND, ERROR, "cell-beyond",
        "'{1}' is right of the last of the {2} columns; put quotes around a cell that has the "
        "separator in it, or clear this one")
/* A table laid out sideways. {1}: the first name too many, {2}: how many columns there may be.
 */
FINDING(TOO_MANY_COLUMNS, ERROR, "too-many-columns",
        "'{1}' is one column too many; a table may have {2} named columns, so delete some")
/* A log of months in one file. {1}: how many rows there may be. */
FINDING(TOO_MANY_ROWS, ERROR, "too-many-rows",
        "this row is one too many; a table may have {1} rows, so split the file")

/* A folder, table by table (src/survey). */

/* A file that is not one of the tables: notes.csv, walls-old.csv. {1}: the file. */
FINDING(FILE_UNKNOWN, NOTE, "file-unknown",
        "'{1}' is not the name of a table; it is not used (rename it if it should be)")
/* Walls.csv, opening.csv. {1}: the file, {2}: the table. */
FINDING(FILE_MISNAMED, ERROR, "file-misnamed",
        "'{1}' is nearly the table {2}.csv and is not read; rename it to that, or to something "
        "else")
/* walls.csv both at the top and in a folder below. {1}: the table. */
FINDING(TABLE_TWICE, ERROR, "table-twice",
        "the table '{1}' is given twice; keep one of the two files")
/* constuction for construction. {1}: the header, {2}: hint. */
FINDING(COLUMN_UNKNOWN, NOTE, "column-unknown",
        "column '{1}' is not one this table knows, so it is not used; {2}")
/* x_m and x_ft side by side. {1}: the second header, {2}: the first. */
FINDING(COLUMN_IN_TWO_UNITS, ERROR, "column-in-two-units",
        "'{1}' and '{2}' are the same column in two units; delete one")
/* serial and Serial No. side by side. {1}: the second header, {2}: the first. */
FINDING(COLUMN_TWICE, ERROR, "column-twice",
        "'{1}' and '{2}' mean the same column; delete or rename one")
/* x1, and length_unit not in site.csv. {1}: the header, {2}: x1. */
FINDING(LENGTH_WITHOUT_UNIT, ERROR, "length-without-unit",
        "column '{1}' does not say its unit; name it {2}_m or {2}_ft, or give length_unit in "
        "site.csv")
/* walls.csv without y2_m, or with Y2. {1}: the header, {2}: what to do. */
FINDING(COLUMN_MISSING, ERROR, "column-missing", "the column '{1}' is missing; {2}")
/* A wall without a construction. {2}: the column. */
FINDING(CELL_BLANK, ERROR, "cell-blank", "'{2}' is blank here; every row needs one")
/* 3,5 in a file with commas between the columns. {1}: the cell. */
FINDING(DECIMAL_COMMA, ERROR, "decimal-comma",
        "'{1}' has a decimal comma; write a point, or save with semicolons between the columns")
/* 1,234.5; 12 500; 1.234 between semicolons. {1}: the cell, {2}: the decimal mark. */
FINDING(NUMBER_THOUSANDS, ERROR, "number-thousands",
        "'{1}' has a mark between thousands, or may have; write the number without it, and {2} "
        "before a fraction")
/* 85%. {1}: the cell, {2}: " of dBm" or nothing. */
FINDING(NUMBER_PERCENT, ERROR, "number-percent", "'{1}' is in percent; write a plain number{2}")
/* 3-Apr, where 3-4 or 3.4 was typed. {1}: the cell. */
FINDING(NUMBER_DATE, ERROR, "number-date",
        "'{1}' is a date, which the spreadsheet has made of a number; set the column's format "
        "to number and enter it again")
/* #N/A, #REF!, ####. {1}: the cell. */
FINDING(
    SPREADSHEET_ERROR, ERROR, "spreadsheet-error",
    "'{1}' is an error of the spreadsheet, not a value; mend its formula or clear the cell, "
    "and save again")
/* A serial that became 1.23E+11. {1}: the cell. */
FINDING(NAME_ROUNDED, ERROR, "name-rounded",
        "'{1}' is what a spreadsheet makes of a long number; set the column's format to text "
        "and enter it again")
/* -7l, twelve. {1}: the cell, {2}: " of dBm" or nothing. */
FINDING(NUMBER_UNREADABLE, ERROR, "number-unreadable",
        "'{1}' is not a number{2}; check for a letter among the digits, or a unit behind them")
/* 1e400. {1}: the cell. */
FINDING(NUMBER_TOO_LARGE, ERROR, "number-too-large",
        "'{1}' is larger than anything here can be; check the number of digits")
/* Zone 2.5. {1}: the cell. */
FINDING(NOT_WHOLE, ERROR, "not-whole",
        "'{1}' is not a whole number; write it without a fraction")
/* A wall end 40 km away. {1}: the cell, {2}: the limits, "0 and 60 dB". */
FINDING(OUT_OF_RANGE, ERROR, "out-of-range", "'{1}' is out of range; it must lie between {2}")
/* height_m: shoulder. {1}: the cell. */
FINDING(HEIGHT_UNREADABLE, ERROR, "height-unreadable",
        "'{1}' is not a height; write a number, or ankle, switch, head or ceiling")
/* role: sender. {1}: the cell, {2}: the column, {3}: hint. */
FINDING(CHOICE_UNKNOWN, ERROR, "choice-unknown", "'{1}' is not one of the words for {2}; {3}")
/* Two walls called north. {1}: the name, {2}: what it names. */
FINDING(NAME_TWICE, ERROR, "name-twice",
        "the {2} '{1}' is there already, further up; give this one a name of its own")
/* reqired_margin_db. {1}: the key, {2}: hint. */
FINDING(SITE_KEY_UNKNOWN, ERROR, "site-key-unknown", "'{1}' is not a key of the site; {2}")
/* wired_zones: 1-8, ten to twelve. {1}: the part. */
FINDING(WIRED_ZONES_UNREADABLE, ERROR, "wired-zones-unreadable",
        "'{1}' is not a zone number or a range of them; write them like 1-8, 17, 20-24")
/* tables: 2. {1}: the value. */
FINDING(
    TABLES_TOO_NEW, ERROR, "tables-too-new",
    "'{1}' is not a version of the tables that this program reads (1); take a newer program")
/* A value that decides a verdict was left blank. {1}: what, {2}: the value used, {3}: from
 * where. */
FINDING(DEFAULT_USED, NOTE, "default-used", "{1} is not given; {2} is used ({3})")
/* required_margin_db: 0. {1}: the key, {2}: the value. */
FINDING(
    NOTHING_KEPT, NOTE, "nothing-kept",
    "{1} is {2}, so nothing is kept for ageing, batteries and changes over the years; 10 dB "
    "are common, 14 for what guards life")
/* confidence: 0.5. {1}: the key, {2}: the value. */
FINDING(AS_A_COIN, NOTE, "as-a-coin",
        "{1} is {2}, so a zone counts as firm when it is as likely not to be; 0.9 is common, "
        "0.95 for what guards life")
/* A radio at 2,450 MHz in an environment of 300 to 1,000 MHz. {1}: the environment, {2}: the
 * range, {3}: the radio, {4}: MHz. */
FINDING(ENVIRONMENT_BAND, NOTE, "environment-band",
        "environment '{1}' holds between {2}, and radio '{3}' sends at {4} MHz; take another "
        "environment, or trust a reading more")
/* min_mhz 1000, max_mhz 300. {1} and {2}: both. */
FINDING(RANGE_BACKWARD, ERROR, "range-backward",
        "the range from '{1}' to '{2}' holds nothing; it must end above its beginning")
/* environment: dweling. {1}: the value, {2}: hint. */
FINDING(ENVIRONMENT_UNKNOWN, ERROR, "environment-unknown",
        "environment '{1}' is not in the materials tables; {2}")
/* construction: briick. {1}: the value, {2}: hint. */
FINDING(CONSTRUCTION_UNKNOWN, ERROR, "construction-unknown",
        "construction '{1}' is not in the materials tables; {2}")
/* Two effective rows for brick at 868 MHz. {1}: the construction. */
FINDING(FREQUENCY_TWICE, ERROR, "frequency-twice",
        "construction '{1}' has two rows of one kind at one frequency; keep one")
/* More kinds of wall than a link's sums have room for. {1}: how many there may be. */
FINDING(TOO_MANY_CONSTRUCTIONS, ERROR, "too-many-constructions",
        "this construction is one too many; there may be {1}, so delete some that are not used")
/* A construction of the survey's own without a loss. {1}: the construction. */
FINDING(NO_LOSS, ERROR, "no-loss",
        "construction '{1}' is used but has no row with its loss; add one for the radio's "
        "frequency")
/* layers: brick, or brick 0. {1}: the layer. */
FINDING(
    LAYER_UNREADABLE, ERROR, "layer-unreadable",
    "'{1}' is not a layer; write a material and its thickness in mm, like brick 100, with / "
    "between layers")
/* layers: brik 100. {1}: the material, {2}: hint. */
FINDING(MATERIAL_UNKNOWN, ERROR, "material-unknown",
        "material '{1}' is not in the dielectrics table; {2}")
/* {1}: how many there may be. */
FINDING(TOO_MANY_LAYERS, ERROR, "too-many-layers",
        "this wall has too many layers; there may be {1}, so join thin ones")
/* level: cellar, and no such level. {1}: the value, {2}: hint. */
FINDING(LEVEL_UNKNOWN, ERROR, "level-unknown", "level '{1}' is not in levels.csv; {2}")
/* floor_construction: brick. {1}: the construction. */
FINDING(NOT_A_FLOOR, ERROR, "not-a-floor",
        "'{1}' is not a floor; take a construction of class floor, like timber-floor")
/* ring: outside. {1}: the value. */
FINDING(RING_UNKNOWN, ERROR, "ring-unknown",
        "'{1}' is not a ring of a floor; write outer, or hole 1, hole 2")
/* An outline of two corners. {1}: the ring. */
FINDING(RING_TOO_SHORT, ERROR, "ring-too-short",
        "the ring '{1}' has fewer than three corners; add the missing ones")
/* A floor with holes only. {1}: the level. */
FINDING(NO_OUTER_RING, ERROR, "no-outer-ring",
        "the floor of level '{1}' has holes but no outer ring; add its outline")
/* Both ends of a wall at one place. {1}: the wall. */
FINDING(WALL_NO_LENGTH, ERROR, "wall-no-length",
        "wall '{1}' ends where it begins; give its other end")
/* top_m 0, bottom_m 2. {1}: the wall or opening. */
FINDING(TOP_BELOW_BOTTOM, ERROR, "top-below-bottom",
        "the top of '{1}' is not above its bottom; swap or correct them")
/* wall: noth, and no such wall. {1}: the value, {2}: hint. */
FINDING(WALL_UNKNOWN, ERROR, "wall-unknown", "wall '{1}' is not in walls.csv; {2}")
/* A door that ends beyond the wall. {1}: the value, {2}: the wall, {3}: its length, m. */
FINDING(OPENING_PAST_WALL, ERROR, "opening-past-wall",
        "'{1}' is past the end of wall '{2}', which is {3} m long; measure from its first end")
/* from_m 3, to_m 2. {1}: from, {2}: to. */
FINDING(
    OPENING_BACKWARD, ERROR, "opening-backward",
    "the opening goes from '{1}' to '{2}'; it must end further along the wall than it begins")
/* Two windows on one stretch of wall. {1}: the later one, {2}: the other, {3}: the wall. */
FINDING(OPENINGS_OVERLAP, ERROR, "openings-overlap",
        "'{1}' overlaps '{2}' in wall '{3}', and a path can go through one only; correct the "
        "distances of one")
/* A skylight in the row of a low wall. {1}: the opening, {2}: the wall. */
FINDING(OPENING_MISSES_WALL, ERROR, "opening-misses-wall",
        "'{1}' is all above or all below its wall '{2}'; correct its heights, or the wall's")
/* A door of 2.1 m in a wall of 2 m. {1}: the opening, {2}: the wall. */
FINDING(OPENING_OUTSIDE, NOTE, "opening-outside",
        "'{1}' reaches past the top or the bottom of its wall '{2}', and only what lies in the "
        "wall counts; check the heights of both")
/* x without y. {1}: the one that is missing. */
FINDING(HALF_A_PLACE, ERROR, "half-a-place",
        "a place needs both x and y, and {1} is blank; fill it, or clear both")
/* Merged cells, of which a spreadsheet fills only the first. {1}: the column, {2}: hint. */
FINDING(LEVEL_BLANK, ERROR, "level-blank",
        "{1} is blank, and the building has several; write it in every row; {2}")
/* Devices with places, several levels, and no column that says on which. {1}: hint. */
FINDING(LEVEL_COLUMN_MISSING, ERROR, "level-column-missing",
        "the column 'level' is missing, and the building has several; add it, and write in "
        "every row which one; {1}")
/* height_m 4.1 on a level of 2.5 m. {1}: the value, {2}: the level, {3}: its height, m. */
FINDING(HEIGHT_OUTSIDE, NOTE, "height-outside",
        "'{1}' is not a height in level '{2}', which is {3} m high; heights count from the "
        "level's own floor, so check this one, its unit and the level")
/* radio: 868-10w. {1}: the value, {2}: hint. */
FINDING(RADIO_UNKNOWN, ERROR, "radio-unknown", "radio '{1}' is not in the radios table; {2}")
/* mount: metal box. {1}: the value, {2}: hint. */
FINDING(MOUNT_UNKNOWN, ERROR, "mount-unknown", "mount '{1}' is not in the mounts table; {2}")
/* A device that is named in a row but is not in devices.csv. {1}: the value, {2}: hint. */
FINDING(DEVICE_UNKNOWN, ERROR, "device-unknown", "device '{1}' is not in devices.csv; {2}")
/* hears filled for a sensor. {1}: the sensor. */
FINDING(SENSOR_HEARS, ERROR, "sensor-hears",
        "'{1}' is a sensor and hears nothing; clear this cell, or make it a receiver")
/* hears: ; alone. {1}: the value. */
FINDING(HEARS_NOBODY, ERROR, "hears-nobody",
        "'{1}' names nobody; write names with ; between, or clear the cell to hear all")
/* No devices.csv, or no row in it. */
FINDING(
    NO_DEVICES, ERROR, "no-devices",
    "there is no device; give the receiver and each sensor a row in devices.csv, or, without "
    "a plan, each sensor a row in paths.csv")
/* Sensors, and nobody to hear them. */
FINDING(NO_RECEIVER, ERROR, "no-receiver",
        "no device has the role receiver; add the row of the receiver")
/* A device without coordinates that no path row names. {1}: the device. */
FINDING(NO_PLACE, NOTE, "no-place",
        "'{1}' has neither coordinates nor a row in paths.csv, so it is not judged; add one of "
        "them")
/* A survey that can be judged, and what looks odd in it (src/survey/odd.c). */

/* A partition drawn to the face of a wall that was drawn along its middle. {1}: the wall, {2}:
 * m, {3}: the other wall. */
FINDING(WALLS_NEARLY_MEET, NOTE, "walls-nearly-meet",
        "wall '{1}' ends {2} m from wall '{3}' without touching it, and a path through the gap "
        "meets neither; if they do meet, give both the same end")
/* A wall drawn once for each of its two rooms. {1} and {2}: the walls, {3}: m. */
FINDING(WALLS_ON_EACH_OTHER, NOTE, "walls-on-each-other",
        "walls '{1}' and '{2}' lie on each other for {3} m and count twice there; if it is one "
        "wall, delete one row")
/* A contact drawn on the line of its window's wall. {1}: the device, {2}: m, {3}: the wall. */
FINDING(DEVICE_IN_WALL, NOTE, "device-in-wall",
        "'{1}' is {2} m from the line of wall '{3}', as if it were inside the wall; move it to "
        "the side it hangs on, since that decides whether the wall is in the way")
/* A receiver in a steel cabinet. {1}: the device, {2}: the mount, {3}: dB. */
FINDING(
    DEVICE_IN_METAL, NOTE, "device-in-metal",
    "'{1}' has the mount '{2}', which takes {3} dB of every signal; fix it outside the metal "
    "if that can be done")
/* Two levels whose heights were measured from different floors. {1}: the level, {2}: its
 * ceiling, m, {3}: the one above, {4}: its floor, m. */
FINDING(LEVELS_OVERLAP, NOTE, "levels-overlap",
        "level '{1}' reaches up to {2} m, but the floor of level '{3}' is at {4} m; correct a "
        "height or a floor")
/* A storey that was forgotten between them. {1}: the level, {2}: its ceiling, m, {3}: the one
 * above, {4}: its floor, m. */
FINDING(
    LEVELS_APART, NOTE, "levels-apart",
    "between level '{1}', which ends at {2} m, and level '{3}', which begins at {4} m, there "
    "is room for another storey; check both")
/* An upper floor drawn without its slab. {1}: the level. */
FINDING(
    NO_SLAB, NOTE, "no-slab",
    "level '{1}' lies over another and has no floor_construction, so nothing is lost between "
    "them; name the floor, unless it is open")
/* A keypad beside the receiver. {1} and {2}: the devices, {3}: m. */
FINDING(TOO_CLOSE, NOTE, "too-close",
        "'{1}' is {3} m from '{2}'; under 1 m counts as 1 m here, and a sender that near can "
        "deafen a receiver, so move one of them")
/* A row that was copied and not changed. {1} and {2}: the devices. */
FINDING(SAME_PLACE, NOTE, "same-place",
        "'{1}' is at the very place of '{2}'; correct one of them, unless they hang together")
/* Feet typed where meters are meant. {1}: the device, {2}: m. */
FINDING(
    OUTSIDE_PLAN, NOTE, "outside-plan",
    "'{1}' is {2} m outside of all walls, further than the building is wide; check x, y and "
    "their unit")
/* A smoke detector at switch height. {1}: the device, {2}: its type, {3}: m, {4}: where such a
 * device hangs. */
FINDING(
    ODD_HEIGHT, NOTE, "odd-height",
    "'{1}' is of type {2} and {3} m above the floor, where such a device commonly hangs {4}; "
    "check height and type (local codes decide where it belongs)")
/* A panic button with supervised: no. {1}: the device. */
FINDING(
    LIFE_UNSUPERVISED, NOTE, "life-unsupervised",
    "'{1}' guards life and is not supervised, so nobody would learn that it fell silent; set "
    "supervised to yes if it can be")
/* A wall of timber-floor. {1}: the wall or opening, {2}: its construction, {3}: its class,
 * {4}: what it stands for here. */
FINDING(ODD_CLASS, NOTE, "odd-class",
        "'{1}' is a {4} of '{2}', which is a {3}; check the construction")
/* A sensor of 868 MHz, a receiver of 345 MHz. {1}: the sensor, {2}: its MHz, {3}: the listener,
 * {4}: its MHz. */
FINDING(
    OTHER_BAND, NOTE, "other-band",
    "'{1}' sends at {2} MHz and '{3}' listens at {4} MHz, so nothing hears it and it is not "
    "judged; correct a radio, or give the receiver a row for each band that it has")
/* Two paths of one sensor, motion in one and smoke in the other. {1}: the cell, {2}: the
 * column, {3}: the device, {4}: what stands further up. */
FINDING(TOLD_OTHERWISE, ERROR, "told-otherwise",
        "'{1}' for {2} of '{3}' is not the '{4}' that stands further up; make both the same")
/* devices.csv, and paths.csv with a column type. {1}: the column. */
FINDING(TOLD_TWICE, NOTE, "told-twice",
        "column '{1}' counts only in a survey without devices.csv; write it there instead")
/* crossings: brik. {1}: the word, {2}: hint. */
FINDING(CROSSING_UNKNOWN, ERROR, "crossing-unknown",
        "'{1}' is no wall, floor, door or window that the materials tables know; {2}")
/* to: a sensor. {1}: the sensor. */
FINDING(PATH_TO_SENSOR, ERROR, "path-to-sensor",
        "'{1}' is a sensor and hears nothing; a path goes to a receiver or a repeater")
/* A path from the receiver to the receiver. {1}: the device. */
FINDING(PATH_TO_ITSELF, ERROR, "path-to-itself",
        "the path from '{1}' ends at itself; correct one")
/* Two rows for one pair. {1}: the device, {2}: the listener. */
FINDING(PATH_TWICE, ERROR, "path-twice",
        "there is a path from '{1}' to '{2}' already, further up; keep one of them")
/* An environment whose exponent holds the walls, and walls. {1}: the environment. */
FINDING(WALLS_COUNT_TWICE, ERROR, "walls-count-twice",
        "environment '{1}' counts ordinary walls in its distance already, so walls given here "
        "would "
        "count twice; take an environment with walls drawn, or leave the walls out")
/* An environment with walls drawn, and no walls at all. {1}: the environment. */
FINDING(NO_WALLS, NOTE, "no-walls",
        "environment '{1}' expects walls and there are none, so every path counts as open; "
        "draw the "
        "walls, or give path rows")
/* Coordinates and a path row that disagree by more than 3 dB. {1}: the device, {2}: the
 * listener, {3}: by how much. */
FINDING(
    PATH_DISAGREES, NOTE, "path-disagrees",
    "from '{1}' to '{2}' the plan and the path row differ by {3} dB of loss; the plan is used, "
    "check the walls of both")
/* More zones than zones_per_repeater that only this repeater hears firmly. {1}: the repeater,
 * {2}: how many zones, {3}: how many it has room for. */
FINDING(REPEATER_FULL, NOTE, "repeater-full",
        "'{1}' alone hears {2} zones firmly, and has room for {3} (zones_per_repeater in "
        "site.csv); move a receiver or plan a further repeater, earshot where --repeaters says "
        "which")
/* A reading that speaks against a firm prediction. {1}: the device, {2}: the listener, {3}:
 * what was heard. */
FINDING(HEARD_AGAINST, NOTE, "heard-against",
        "'{1}' was {3} at '{2}', though all else says that it should be firm; trust what was "
        "heard, and find out why")
/* Two labels mixed up. {1} and {2}: the devices, {3}: what the first shows, {4}: what the other
 * shows. */
FINDING(LOOKS_SWAPPED, NOTE, "looks-swapped",
        "'{1}' shows {3}, and '{2}' {4}: as if swapped; read one of them again and correct the "
        "names, or write accept in the column use")
/* {1} and {2}: the devices, {3}: what the first shows. */
FINDING(
    LOOKS_ELSEWHERE, NOTE, "looks-elsewhere",
    "'{1}' shows {3}: as if read where '{2}' hangs; read it again at its own place, or write "
    "accept in the column use")
/* -60, five times running. {1}: the value, {2}: how often, {3}: what is foretold of the last.
 */
FINDING(
    LOOKS_STUCK, NOTE, "looks-stuck",
    "{1} {2} times running, {3}: the meter looks stuck; read them again, or write accept in "
    "the column use")
/* -38 for -83. {1}: the device, {2}: what it shows, {3}: what would fit. */
FINDING(LOOKS_SLIPPED, NOTE, "looks-slipped",
        "'{1}' shows {2}, and {3} dBm would fit: a slip of the pencil; correct it, or write "
        "accept in the column use")
/* Bars of another meter. {1}: how many, {2}: dB, {3}: higher or lower. */
FINDING(
    LOOKS_OTHER_SCALE, NOTE, "looks-other-scale",
    "all {1} readings of this scale lie {2} dB {3} than all that was foretold, more than "
    "power, antennas and a meter are ever off: name the right scale or unit, or write accept "
    "in the column use")
/* A garage across the yard, 80 m away. */
FINDING(FAR_AWAY, NOTE, "far-away",
        "a link of more than 60 m is outside what this model is made for; read it in place "
        "before relying on it")
/* A wall's loss used far from the frequency it was found at. {1}: the construction. */
FINDING(FAR_FREQUENCY, NOTE, "far-frequency",
        "the loss of '{1}' is used more than a factor 1.5 from the frequencies it is known "
        "for; 2 dB "
        "are added to its doubt")
/* country: XX. {1}: the country. */
FINDING(
    COUNTRY_UNKNOWN, NOTE, "country-unknown",
    "country '{1}' is not in the countries table, so transmit limits are not compared; ask its "
    "authority what may be sent")
/* A 345 MHz radio in Europe. {1}: the radio, {2}: MHz, {3}: the country. */
FINDING(
    NO_BAND, NOTE, "no-band",
    "radio '{1}' sends at {2} MHz, which is in no band that the tables know for {3}; ask its "
    "authority whether it may be used there")
/* {1}: the radio, {2}: its EIRP, {3}: the limit as EIRP, {4}: the rule. */
FINDING(
    OVER_LIMIT, NOTE, "over-limit",
    "radio '{1}' sends {2} dBm EIRP, over the {3} dBm that the tables know for its band ({4}); "
    "check its data sheet, and never mend a link with more power")
/* A radio without a power. {1}: the radio, {2}: the EIRP taken, {3}: the rule. */
FINDING(
    POWER_FROM_LIMIT, NOTE, "power-from-limit",
    "radio '{1}' has no power given; {2} dBm EIRP is used, the legal limit less what a small "
    "antenna loses ({3})")
/* Layers worked out below the frequencies of their table. */
FINDING(
    EXTRAPOLATED, NOTE, "extrapolated",
    "walls known only by their layers are worked out outside the frequencies of their table "
    "(ITU-R P.2040-3 begins at 1 GHz for masonry); 2 dB are added to their doubt")
/* scale: bar. {1}: the value, {2}: hint. */
FINDING(SCALE_UNKNOWN, ERROR, "scale-unknown", "scale '{1}' is not in the scales table; {2}")
/* reading: -7l. {1}: the cell. */
FINDING(
    READING_UNREADABLE, ERROR, "reading-unreadable",
    "'{1}' is not a number of dBm; check for a letter among the digits, or write none for not "
    "heard")
/* A dash in the column of readings. {1}: the cell. */
FINDING(READING_DASH, ERROR, "reading-dash",
        "'{1}' may mean that nothing was heard or that nothing was read; write none, or leave "
        "it blank (of a log: in columns.csv, with '{1}' as their_value and that as value)")
/* 80% in a row without a scale; -71 dBm in one of bars. {1}: the cell, {2}: the scale. */
FINDING(READING_OTHER_UNIT, ERROR, "reading-other-unit",
        "'{1}' does not go with the scale {2}; name the scale of the meter that showed it, or "
        "correct the cell")
/* reading 7 on a scale of five bars. {1}: the cell, {2}: the scale, {3}: its steps. */
FINDING(NO_SUCH_STEP, ERROR, "no-such-step",
        "'{1}' is no step of the scale '{2}'; its steps are {3}")
/* readings whose covariance is none, as when a level is out of all reason. */
FINDING(NOT_MERGED, NOTE, "readings-not-merged",
        "the readings could not be merged, and all margins are by the tables alone; look for a "
        "level out of all reason, and take it out")
/* more than can be held in hand. {1}: how many. */
FINDING(
    TOO_MANY_READINGS, NOTE, "too-many-readings",
    "'{1}' readings are left out, for more cannot be merged at once; keep those of the last "
    "visits")
/* reading 98 for -98. {1}: the cell. */
FINDING(
    LEVEL_TOO_HIGH, ERROR, "level-too-high",
    "'{1}' dBm is more than any receiver sees; write its minus, or name the scale of the meter "
    "(bars, percent); dB above the noise are no level")
/* use: reject. */
FINDING(READING_REJECTED, NOTE, "reading-rejected",
        "a reading does not count, for its column use says reject; clear that cell to have it "
        "back")
/* A log that was pasted twice. {1}: the line of the first. */
FINDING(READING_TWICE, NOTE, "reading-twice",
        "this is line {1} once more and counts once; take it out, or write accept in its "
        "column use "
        "if both were made")
/* A log that goes on from the visit before. {1}: the other file. */
FINDING(
    READING_AGAIN, NOTE, "reading-again",
    "a row stands in '{1}' too and counts once; write accept in its column use if both were "
    "made")
/* 4 of 10, then mended and 10 of 10. {1}: the device, {2}: the visit since. */
FINDING(
    READ_BEFORE, NOTE, "read-before",
    "'{1}' was left otherwise on visit '{2}', so what it showed before does not count any more")
/* Strong links silent, weak ones heard. {1}: the visit, {2}: the listener, {3}: how many. */
FINDING(
    VISIT_JAMMED, NOTE, "visit-jammed",
    "visit '{1}' is not usable at '{2}': {3} links that other visits heard are silent, strong "
    "ones among them, so something else was on the air; write reject in its column use, and "
    "read it again another hour")
/* A receiver without power. {1}: the visit, {2}: the listener, {3}: how many. */
FINDING(VISIT_DEAF, NOTE, "visit-deaf",
        "on visit '{1}' nothing is heard at '{2}' of the {3} links that other visits heard; "
        "look at "
        "the receiver first: its power, its antenna, its place")
/* {1}: the visit, {2}: the listener. */
FINDING(
    VISIT_NOISY, NOTE, "visit-noisy",
    "on visit '{1}' the noise at '{2}' was 10 dB or more over that of other visits; find what "
    "sends there, and read it again")
/* {1}, {2}: the first and the last date. */
FINDING(
    VISIT_LONG, NOTE, "visit-long",
    "readings of {1} and of {2} count as one visit; name each visit in the column visit, or "
    "earshot drift and final cannot tell the one from the other")
/* columns.csv: a file that is not there. {1}: the file, {2}: hint. */
FINDING(LOG_NO_FILE, ERROR, "log-no-file", "'{1}' is not in the survey's folder; {2}")
/* file: readings.csv. {1}: the file. */
FINDING(LOG_IS_TABLE, ERROR, "log-is-table",
        "'{1}' is a table of the survey and needs no mapping; write the names of its columns "
        "into its first row, or rename it if it is a log")
/* their_column: RSI. {1}: their column, {2}: the file, {3}: hint. */
FINDING(LOG_COLUMN_MISSING, ERROR, "log-column-missing",
        "no line of '{2}' has the column '{1}' among the others named; {3}")
/* Two columns RSSI, one for each antenna. {1}: the name, {2} and {3}: the letters. */
FINDING(LOG_COLUMN_TWICE, NOTE, "log-column-twice",
        "'{1}' is the name of column {2} and of column {3}, and {2} is taken; write column {3} "
        "into columns.csv to have the other")
/* our_column: devize. {1}: our column, {2}: hint. */
FINDING(LOG_OUR_COLUMN, ERROR, "log-our-column", "'{1}' is no column of readings.csv; {2}")
/* our_column reading twice for one log. {1}: the cell, {2}: the column. */
FINDING(LOG_TWICE_MAPPED, ERROR, "log-twice-mapped",
        "'{1}' is a second answer for {2} of this log; keep one of the rows")
/* reading in dBx. {1}: the unit, {2}: hint. */
FINDING(LOG_UNIT_UNKNOWN, ERROR, "log-unit-unknown",
        "'{1}' is neither dBm, dBm without minus, dBuV nor a scale of the tables; {2}")
/* unit_or_scale of what is no reading. {1}: the value, {2}: the column, {3}: what to do. */
FINDING(LOG_UNIT, ERROR, "log-unit", "'{1}' is no unit for {2}; {3}")
/* x_m without a unit. {1}: the column. */
FINDING(LOG_LENGTH_UNIT, ERROR, "log-length-unit",
        "nothing says in what unit {1} is; write m, cm, mm, ft, in or pace")
/* their_column and value without their_value. {1}: the value. */
FINDING(LOG_HALF, ERROR, "log-half",
        "'{1}' stands beside a column of theirs; write into their_value which word of it means "
        "that, or clear their_column to have it for all rows")
/* A row with the file and our_column alone. */
FINDING(LOG_BLANK, ERROR, "log-blank",
        "this row says nothing; name their_column, or write into value what holds for all rows")
/* A log without device. {1}: the log, {2}: the column. */
FINDING(LOG_LACKS, ERROR, "log-lacks",
        "'{1}' has no row here for {2}; add one with their_column, or with value where it is "
        "the same for all rows")
/* Other people's transmitters. {1}: "41 rows", {2}: "12 devices", {3}: the first. */
FINDING(LOG_STRANGER, NOTE, "log-stranger",
        "set aside: {1} of {2} that this survey does not have, '{3}' first; if one is yours, "
        "give it that name, zone, label or serial in devices.csv")
/* A serial with two inputs. {1}: the cell, {2} and {3}: two of the devices. */
FINDING(LOG_SEVERAL, ERROR, "log-several",
        "'{1}' may be '{2}' or '{3}'; say in columns.csv which: device, zone, label or serial "
        "as unit_or_scale, or '{1}' as their_value and the device as value")
/* neither device nor x and y. */
FINDING(READ_NOWHERE, ERROR, "read-nowhere",
        "no device is given, and no place; name the device, or give x_m and y_m of the point")
/* a device, and x and y beside it. {1}: the device. */
FINDING(
    READ_PLACE_TWICE, NOTE, "read-place-twice",
    "'{1}' has its place in devices.csv, and the one given here is not used; clear the device "
    "for a point that was walked to, or clear the place")
/* placed walked, with a device. {1}: the device. */
FINDING(WALKED_DEVICE, NOTE, "walked-device",
        "'{1}' was walked with and has no place here; it is taken as held where it is to hang; "
        "for another place clear the device and give x_m and y_m")
/* a scale whose steps fall. {1}: the scale, {2}: what is wrong and the mend. */
FINDING(SCALE_WRONG, ERROR, "scale-wrong", "scale '{1}' {2}")
/* trips without heard. */
FINDING(TRIPS_WITHOUT_HEARD, ERROR, "trips-without-heard",
        "trips and heard belong together and one is blank; fill it, or clear both")
/* heard 11 of 10. {1}: heard, {2}: trips. */
FINDING(MORE_HEARD_THAN_TRIPS, ERROR, "more-heard-than-trips",
        "'{1}' heard of '{2}' trips cannot be; swap or correct them")
/* noise: 60, or -60. {1}: the value. */
FINDING(NOISE_LOUD, NOTE, "noise-loud",
        "'{1}' dBm is more noise than is found but beside a transmitter, and it counts; check "
        "its sign and that it is no signal's level")
/* heard_at: a sensor. {1}: the sensor. */
FINDING(HEARD_AT_SENSOR, ERROR, "heard-at-sensor",
        "'{1}' is a sensor and hears nothing; name the receiver or the repeater that heard it")

/* The zone schedule (src/survey/schedule.c). */

/* Two zones that nobody can tell apart. {1}: the serial, {2}: the input, {3}: the other device.
 */
FINDING(SERIAL_TWICE, ERROR, "serial-twice",
        "serial '{1}' with input {2} is '{3}' already, and that pair is all that tells "
        "transmissions apart; correct one, or give the other input number")
/* {1}: the zone, {2}: the wired zones that it is one of: 1-8, or 17. */
FINDING(ZONE_WIRED, ERROR, "zone-wired",
        "zone {1} is among the wired zones of site.csv ({2}); give this device another zone "
        "number")
/* {1}: the zone, {2}: the other device. */
FINDING(ZONE_TWICE, ERROR, "zone-twice",
        "zone {1} is '{2}' already; give this device another zone number")
/* devices.csv without the column type. {1}: sensors without, {2}: all sensors. */
FINDING(
    TYPE_BLANK, NOTE, "type-blank",
    "{1} of {2} sensors have no type and count as not life safety; fill the column type, at "
    "least for smoke, heat, co, flood and panic")
/* Label "hall motion" on a motion sensor. {1}: the label, {2}: the type. */
FINDING(LABEL_REPEATS_TYPE, NOTE, "label-repeats-type",
        "label '{1}' repeats its type, so it may be shown as '{1} {2}'; leave the word out")
/* supervised: no. {1}: the device. */
FINDING(UNSUPERVISED, NOTE, "unsupervised",
        "'{1}' is not supervised, so nothing will say when it drops out of range; set it "
        "supervised "
        "unless it leaves the building")

/* Tables out of a page that carries them (src/report/carried.c). */

/* The customer's page, or no page of ours. */
FINDING(CARRIED_NONE, ERROR, "carried-none",
        "this page carries no tables; take the technician's report, as the file that was "
        "written")
/* A page that was cut off or edited on its way. {1}: the table. */
FINDING(CARRIED_DAMAGED, ERROR, "carried-damaged",
        "table '{1}' did not arrive whole; ask for the page again, as a file and not as text")
/* ../site.csv, /etc/x.csv, run.exe. {1}: the name. */
FINDING(CARRIED_NAME, ERROR, "carried-name",
        "'{1}' is not the name of a table or log in a survey's folder, so nothing is written; "
        "ask whoever sent the page")
/* {1}: the table. */
FINDING(CARRIED_TWICE, ERROR, "carried-twice",
        "table '{1}' is carried twice, and nobody can tell which is right; ask for the page "
        "again")
/* {1}: the first that is too many. */
FINDING(CARRIED_TOO_MANY, ERROR, "carried-too-many",
        "'{1}' is one table more than the 1000 that a page may carry; ask for the folder "
        "itself")

/* Words of one link (src/survey/words.c). */

/* {1}: the word, {2}: hint. */
FINDING(WORD_UNKNOWN, ERROR, "word-unknown",
        "'{1}' is not a word for a wall, floor, radio or device; {2}")
/* 12 brick brick: twelve of what. {1}: the number. */
FINDING(NUMBER_WITHOUT_UNIT, ERROR, "number-without-unit",
        "'{1}' has no unit; write 12m, 40ft or 16paces, or a count before a wall: 2 brick")
/* 12,5m. {1}: the word. */
FINDING(WORD_COMMA, ERROR, "word-comma",
        "'{1}' has a comma; write a decimal point, 12.5m, or blanks between words")
FINDING(NO_LENGTH, ERROR, "no-length",
        "no distance is given; add one like 12m, 40ft or 16paces")
/* 12m 3m. {1}: the second. */
FINDING(LENGTH_TWICE, ERROR, "length-twice",
        "'{1}' is a second distance; give one, from the sensor to the receiver")
/* 12km. {1}: the words. */
FINDING(LENGTH_TOO_FAR, ERROR, "length-too-far",
        "'{1}' is farther than this is for, 4096 m at most; check the number and its unit")
/* -5m, 0m. {1}: the words. */
FINDING(LENGTH_NONE, ERROR, "length-none",
        "'{1}' is no distance between two places; write one above 0, like 12m or 40ft")
/* brick 868 345-us, --mount body beside metal-frame. {1}: the second, {2}: what it is, {3}: the
 * first. */
FINDING(SAID_TWICE, ERROR, "said-twice", "'{1}' is a second {2} beside '{3}'; give one of them")
/* 12m brick: a radio of which nothing was said. {1}: the one taken, {2}: why that one. */
FINDING(RADIO_ASSUMED, NOTE, "radio-assumed",
        "no radio is named, so {1} is taken, {2}; name its band, like 433, 868 or 915")
/* --band 100. {1}: the band, {2}: the radios there are. */
FINDING(BAND_UNKNOWN, ERROR, "band-unknown", "no radio of the tables is near {1} MHz; {2}")
/* --rated-range far. {1}: the value. */
FINDING(
    CLAIM_UNREADABLE, ERROR, "claim-unreadable",
    "'{1}' is not a rated range; write a length of 1 m to 50 km with its unit: 500m, 1500ft")

/* Looking a wall up (src/report/loss.c, looks.c). */

/* earshot loss briik. {1}: the word, {2}: hint. */
FINDING(NO_SUCH_WALL, ERROR, "no-such-wall",
        "'{1}' is no wall, floor, door or window of the tables; {2}")
/* earshot loss --by-look purple. */
FINDING(
    NOTHING_TOLD, ERROR, "nothing-told",
    "none of these words tells one wall from another; say what you see, how it knocks (hollow, "
    "solid, dull), whether a magnet holds, the color of the drill dust, the thickness")

/* Plans (src/plans). */

/* A PDF, a compressed drawing, a photograph. {1}: what it is. */
FINDING(PLAN_OTHER_FILE, ERROR, "plan-other-file",
        "this file is {1}; save the plan as plain SVG, not compressed, or as GeoJSON in meters")
/* A drawing with photographs in it. {1}: the limit in megabytes. */
FINDING(PLAN_TOO_LARGE, ERROR, "plan-too-large",
        "this file is larger than {1} MB; take pictures, and what is no wall, out of the plan "
        "and save it again")
/* Cut short by a full disk; a forgotten end of an element. {1}: expat's reason. */
FINDING(PLAN_NOT_XML, ERROR, "plan-not-xml",
        "this cannot be read as SVG from here on: {1}; save the plan again from its program")
/* A comma too many. {1}: the reason. */
FINDING(
    PLAN_NOT_JSON, ERROR, "plan-not-json",
    "this cannot be read as GeoJSON from here on: {1}; save the plan again from its program")
/* <!DOCTYPE svg [ <!ENTITY lol "lol"> ]>. */
FINDING(PLAN_DEFINITIONS, ERROR, "plan-definitions",
        "this file brings definitions of its own ('<!DOCTYPE ... ['), which can be made to "
        "fill a computer's memory, so it is not read; save the plan as plain SVG")
/* <!DOCTYPE svg SYSTEM "file:///etc/passwd">. {1}: what is asked for. */
FINDING(PLAN_OUTSIDE, ERROR, "plan-outside",
        "'{1}' would have to be read from another file, which is not done; save the plan as "
        "plain SVG")
/* A hundred groups in one another. {1}: the limit. */
FINDING(PLAN_TOO_DEEP, ERROR, "plan-too-deep",
        "groups lie more than {1} deep in one another here; ungroup them and save again")
/* A plan with hatching and furniture. {1}: the limit, {2}: of what. */
FINDING(PLAN_TOO_MANY, ERROR, "plan-too-many",
        "the plan has more than {1} {2}; take out what is no wall (hatching, furniture) and "
        "save again")
/* x1="12em". {1}: the value, {2}: the attribute. */
FINDING(PLAN_LENGTH, ERROR, "plan-length",
        "'{1}' cannot be read as {2}; write numbers, without a unit or with px, mm, cm, in, pt "
        "or pc")
/* transform="turn(90)". {1}: the value. */
FINDING(PLAN_TRANSFORM, ERROR, "plan-transform",
        "the transform '{1}' cannot be read; ungroup what it moves in the drawing program and "
        "save again")
/* points="0,0 10". {1}: the element, {2}: from where on. */
FINDING(PLAN_POINTS, ERROR, "plan-points",
        "the points of this {1} cannot be read from '{2}' on; delete it and draw it anew")
/* The swing of a door. {1}: the element. */
FINDING(PLAN_CURVE, NOTE, "plan-curve",
        "a '{1}' is curved and its curves are left out, for walls are straight; if one is a "
        "wall, draw it in short straight lines")
/* Text, pictures, hidden layers. {1}: the element, {2}: what it is. */
FINDING(PLAN_LEFT_OUT, NOTE, "plan-left-out", "'{1}' is left out, for it is {2}")
/* A click too many while drawing. */
FINDING(PLAN_SHORT, NOTE, "plan-short", "a line shorter than 1 cm is left out")
/* Two rooms drawn as rectangles side by side. */
FINDING(PLAN_TWICE, NOTE, "plan-twice",
        "this wall is drawn twice, with the same ends, and counted once")
/* Furniture on a layer of its own. {1}: the layer, {2}: the table. */
FINDING(PLAN_LAYER_UNLISTED, NOTE, "plan-layer-unlisted",
        "layer '{1}' is not in {2}, so its lines are left out; add a row if they are walls")
/* A layer misspelled in the table. {1}: the layer, {2} to {4}: a hint. */
FINDING(PLAN_LAYER_UNUSED, NOTE, "plan-layer-unused",
        "no line of the plan is on layer '{1}'{2}{3}{4}")
/* A line in no group and without a class. */
FINDING(PLAN_NO_CONSTRUCTION, ERROR, "plan-no-construction",
        "nothing says what this is made of; give --construction for all such lines, or put "
        "them on a layer")
/* No --scale. */
FINDING(PLAN_NO_SCALE, ERROR, "plan-no-scale",
        "the plan does not say how large the building is; give --scale: a line of the plan "
        "and its length, two points and how far apart they are, or 1:50")
/* --scale "door 0.9" without a line called door. {1}: the name, {2}: how many are called so. */
FINDING(PLAN_SCALE_LINE, ERROR, "plan-scale-line",
        "'{1}' is the name of {2} of the plan; give one straight line that name (id or label) "
        "in the drawing program, or give two points")
/* --scale "0,0 0,0 5". */
FINDING(PLAN_POINTS_ONE, ERROR, "plan-points-one",
        "the two points of the scale are one; take two that are far apart")
/* --scale 1:50 where the drawing has no width in millimeters. {1}: 50. */
FINDING(PLAN_NO_SIZE, ERROR, "plan-no-size",
        "the drawing does not say its size on paper (width and height in mm), so 1:{1} says "
        "nothing; give a line and its length, or two points")
/* --scale with GeoJSON. */
FINDING(PLAN_SCALE_UNWANTED, ERROR, "plan-scale-unwanted",
        "a GeoJSON plan is in meters already; leave --scale and --points out")
/* A scale 100 times too large. {1}: the wall. */
FINDING(PLAN_FAR, ERROR, "plan-far",
        "'{1}' goes farther than 2048 m from the origin; check the scale, and that the first "
        "point is at the building")
/* A plan of curves, text and pictures. {1}: what else. */
FINDING(PLAN_NO_WALLS, ERROR, "plan-no-walls", "there is no wall in this plan{1}")
/* "type": "Line". {1}: the type. */
FINDING(PLAN_GEOMETRY, ERROR, "plan-geometry",
        "'{1}' is no type that GeoJSON has here; check the member 'type'")
/* "coordinates": 5. {1}: the type. */
FINDING(PLAN_COORDINATES, ERROR, "plan-coordinates",
        "the coordinates of a {1} are not lists of positions here; save the plan again")
/* [0] for [0, 0]. {1}: which, {2}: the type. */
FINDING(PLAN_POSITION, ERROR, "plan-position",
        "position {1} of a {2} is not two numbers; write x and y in meters")
/* A FeatureCollection without features. {1}: the member, {2}: the type. */
FINDING(PLAN_MEMBER, ERROR, "plan-member", "the list '{1}' of this {2} is missing")
/* "top_m": "ceiling". {1}: the property. */
FINDING(PLAN_HEIGHT, ERROR, "plan-height",
        "the property '{1}' is not a number of meters between -50 and 50; mend it, or leave it "
        "out")
