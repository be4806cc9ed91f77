/* SPDX-License-Identifier: GPL-3.0-or-later */
/* manual.h - an example of every finding, and the same mended.
 *
 *     MANUAL(name, "when it happens", "where", "wrong", "mended")
 *
 * The name is that of codes.h. Where is a table of a survey ("walls.csv"), whole, put in place
 * of that of a small house; "words" for the words of reach; "loss" and "look" for those of loss
 * and loss --by-look; NULL where an example would have to be a page or a broken disk. Each
 * example is tried (tests/unit/report/test_manual.c): wrong must make the finding, mended must
 * not. Included by manual.c alone.
 */

MANUAL(MEMORY, "The computer had no memory left; the survey itself may be in order.", NULL,
       NULL, NULL)
MANUAL(AND_MORE, "A file has more than a thousand findings; the first thousand are told.", NULL,
       NULL, NULL)
MANUAL(AND_MORE_ERRORS, "A file has more than a thousand faults; the first thousand are told.",
       NULL, NULL, NULL)

/* ---- tables as text ---- */

MANUAL(OTHER_FILE, "A workbook, a PDF or a saved web page under the name of a table.",
       "devices.csv", "%PDF-1.4\n", "device,role\npanel,receiver\n")
MANUAL(UTF16, "A table was saved as 'Unicode text'.", "devices.csv",
       "\xff\xfe"
       "d",
       "device,role\npanel,receiver\n")
MANUAL(OLD_CODE_PAGE, "A table was saved in the code page of Windows, not as UTF-8.",
       "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1,1\nt\xfcr,sensor,ground,2,2\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1,1\nt\xc3\xbcr,sensor,ground,2,2\n")
MANUAL(NOT_UTF8, "A table holds bytes that are no text.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1,1\nd\x01\xfcr,sensor,ground,2,2\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1,1\ndoor,sensor,ground,2,2\n")
MANUAL(ZERO_BYTE, "A file was cut short by a full disk.", NULL, NULL, NULL)
MANUAL(QUOTE_INSIDE, "Inches written with a quote mark in the middle of a cell.", "devices.csv",
       "device,role,note\npanel,receiver,by the 30\" door\n",
       "device,role,note\npanel,receiver,\"by the 30\"\" door\"\n")
MANUAL(QUOTE_AFTER, "Quotes around half of a cell.", "devices.csv",
       "device,role,note\npanel,receiver,\"by\" the door\n",
       "device,role,note\npanel,receiver,by the door\n")
MANUAL(QUOTE_OPEN, "A quote that was never closed: all that follows is one cell.",
       "devices.csv", "device,role,note\npanel,receiver,\"by the door\n",
       "device,role,note\npanel,receiver,by the door\n")
MANUAL(NO_HEADER, "An empty file, or a file of blank lines.", "devices.csv", "\n\n",
       "device,role\npanel,receiver\n")
MANUAL(HEADER_TWICE, "Two columns of one name.", "devices.csv",
       "device,role,room,room\npanel,receiver,hall,\n",
       "device,role,room\npanel,receiver,hall\n")
MANUAL(HEADER_BLANK, "A remark beside the table, with no name above it.", "devices.csv",
       "device,role,\npanel,receiver,spare key\n",
       "device,role,note\npanel,receiver,spare key\n")
MANUAL(TITLE_ABOVE, "A title over the table, as a sheet to be printed has.", "levels.csv",
       "Our house,,\nlevel,floor_z_m,height_m\nground,0,2.6\n",
       "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(CELL_BEYOND, "A comma inside a cell that has no quotes around it.", "devices.csv",
       "device,role,room\npanel,receiver,hall, left\n",
       "device,role,room\npanel,receiver,\"hall, left\"\n")
MANUAL(TOO_MANY_COLUMNS, "A table laid out sideways.", NULL, NULL, NULL)
MANUAL(TOO_MANY_ROWS, "A log of months in one file.", NULL, NULL, NULL)

/* ---- a folder, table by table ---- */

MANUAL(FILE_UNKNOWN,
       "A file of yours that is no table of a survey. Nothing is wrong with that.",
       "kitchen-notes.csv", "a,b\n1,2\n", NULL)
MANUAL(FILE_MISNAMED,
       "A file that was perhaps meant as a table: without its walls a house is all "
       "open air.",
       "wall.csv", "wall,level\n", NULL)
MANUAL(TABLE_TWICE, "One table at the top of the folder and again below it.", NULL, NULL, NULL)
MANUAL(COLUMN_UNKNOWN, "A column of your own, or one misspelled. It is kept and not used.",
       "devices.csv", "device,role,raido\npanel,receiver,868-10mw\n",
       "device,role,radio\npanel,receiver,868-10mw\n")
MANUAL(COLUMN_IN_TWO_UNITS, "One length in two columns.", "levels.csv",
       "level,floor_z_m,floor_z_ft,height_m\nground,0,0,2.6\n",
       "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(COLUMN_TWICE, "Two columns whose names mean the same.", "devices.csv",
       "device,role,serial,Serial No.\npanel,receiver,R1,\n",
       "device,role,serial\npanel,receiver,R1\n")
MANUAL(LENGTH_WITHOUT_UNIT,
       "A length is given, and neither the column, nor the cell, nor site.csv says in what.",
       "levels.csv", "level,floor_z_m,height\nground,0,8.5\n",
       "level,floor_z_m,height_ft\nground,0,8.5\n")
MANUAL(COLUMN_MISSING, "A column that every row needs is not there.", "levels.csv",
       "level,height_m\nground,2.6\n", "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(CELL_BLANK, "A cell that every row needs is blank.", "levels.csv",
       "level,floor_z_m,height_m\nground,,2.6\n", "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(DECIMAL_COMMA, "A decimal comma, and commas between the columns.", "levels.csv",
       "level,floor_z_m,height_m\nground,0,\"2,6\"\n",
       "level;floor_z_m;height_m\nground;0;2,6\n")
MANUAL(NUMBER_THOUSANDS,
       "A number with thousands set apart; or one that could be so, or could be a fraction.",
       "devices.csv", "device,role,level,x_m,y_m\npanel,receiver,ground,\"1,234.5\",1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1234.5,1\n")
MANUAL(NUMBER_PERCENT, "A percent sign where a plain number is wanted.", "site.csv",
       "key,value\nrequired_margin_db,10%\n", "key,value\nrequired_margin_db,10\n")
MANUAL(NUMBER_DATE, "The spreadsheet took 3-4 or 3.4 for a day of a month and changed it.",
       "devices.csv", "device,role,level,x_m,y_m\npanel,receiver,ground,3-Apr,1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,3.4,1\n")
MANUAL(SPREADSHEET_ERROR,
       "A formula refers to a cell that is no longer there, or finds nothing.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,#REF!,1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,3,1\n")
MANUAL(NAME_ROUNDED, "The spreadsheet took a long serial for a number and rounded it.",
       "devices.csv", "device,role,serial\npanel,receiver,1.23E+11\n",
       "device,role,serial\npanel,receiver,123456789012\n")
MANUAL(NUMBER_UNREADABLE, "A letter among the digits, or a word.", "levels.csv",
       "level,floor_z_m,height_m\nground,O,2.6\n", "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(NUMBER_TOO_LARGE, "Digits typed twice.", "levels.csv",
       "level,floor_z_m,height_m\nground,0,26000000000000000\n",
       "level,floor_z_m,height_m\nground,0,2.6\n")
MANUAL(NOT_WHOLE, "A fraction where things are counted.", "devices.csv",
       "device,role,zone\npanel,receiver,2.5\n", "device,role,zone\npanel,receiver,2\n")
MANUAL(OUT_OF_RANGE, "Millimeters in a column of meters.", "levels.csv",
       "level,floor_z_m,height_m\nground,0,2600\n",
       "level,floor_z_m,height_mm\nground,0,2600\n")
MANUAL(HEIGHT_UNREADABLE, "A height in words that are not among the four.", "devices.csv",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,shoulder\n",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,head\n")
MANUAL(CHOICE_UNKNOWN, "A column that takes one of a few words, and another word.",
       "devices.csv", "device,role\npanel,reciever\n", "device,role\npanel,receiver\n")
MANUAL(NAME_TWICE, "A row that was copied and not renamed.", "devices.csv",
       "device,role\npanel,receiver\npanel,receiver\n",
       "device,role\npanel,receiver\nannexe-panel,receiver\n")
MANUAL(SITE_KEY_UNKNOWN, "A key of site.csv that is misspelled.", "site.csv",
       "key,value\nreqired_margin_db,10\n", "key,value\nrequired_margin_db,10\n")
MANUAL(WIRED_ZONES_UNREADABLE, "The wired zones told in words.", "site.csv",
       "key,value\nwired_zones,five to eight\n", "key,value\nwired_zones,5-8\n")
MANUAL(TABLES_TOO_NEW, "The folder is from a newer program.", "site.csv",
       "key,value\ntables,2\n", "key,value\ntables,1\n")
MANUAL(DEFAULT_USED, "A blank that decides an answer was filled in, and this says with what.",
       "site.csv", "key,value\nname,house\nuse,lasting\n",
       "key,value\nname,house\nuse,lasting\nenvironment,dwelling\n")
MANUAL(NOTHING_KEPT, "A margin of 0 is asked for: what just holds today counts as firm.",
       "site.csv", "key,value\nrequired_margin_db,0\n", "key,value\nrequired_margin_db,10\n")
MANUAL(AS_A_COIN, "A confidence of 0.5 is asked for: heads or tails.", "site.csv",
       "key,value\nconfidence,0.5\n", "key,value\nconfidence,0.9\n")
MANUAL(ENVIRONMENT_BAND, "A radio sends outside the frequencies the environment is known for.",
       "environments.csv",
       "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
       "wall_saturation_sd,floors,min_mhz,max_mhz,source\n"
       "dwelling,drawn,2.1,0.3,3,0.9,0.15,linear,400,500,own\n",
       "environment,walls,exponent,exponent_sd,shadow_sd_db,wall_saturation,"
       "wall_saturation_sd,floors,min_mhz,max_mhz,source\n"
       "dwelling,drawn,2.1,0.3,3,0.9,0.15,linear,400,900,own\n")
MANUAL(RANGE_BACKWARD, "A range of frequencies ends below its beginning.", "bands.csv",
       "region,low_mhz,high_mhz,limit,limit_kind,source\neurope,869,868,14,erp,own\n",
       "region,low_mhz,high_mhz,limit,limit_kind,source\neurope,868,869,14,erp,own\n")
MANUAL(ENVIRONMENT_UNKNOWN, "An environment that no table has.", "site.csv",
       "key,value\nenvironment,dweling\n", "key,value\nenvironment,dwelling\n")
MANUAL(CONSTRUCTION_UNKNOWN, "A wall of something that no table has.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,briick\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n")
MANUAL(FREQUENCY_TWICE, "Two losses of one wall at one frequency.", "penetration.csv",
       "construction,freq_mhz,loss_db,sd_db,kind,source\nbrick,868,4,2,effective,mine\n"
       "brick,868,5,2,effective,mine too\n",
       "construction,freq_mhz,loss_db,sd_db,kind,source\nbrick,868,4,2,effective,mine\n")
MANUAL(TOO_MANY_CONSTRUCTIONS, "More kinds of wall than there is room for.", NULL, NULL, NULL)
MANUAL(NO_LOSS, "A wall of your own without a loss.", NULL, NULL, NULL)
MANUAL(LAYER_UNREADABLE, "Layers without thickness.", "constructions.csv",
       "construction,class,layers\nmine,wall,plasterboard\n",
       "construction,class,layers\nmine,wall,plasterboard 12.5\n")
MANUAL(MATERIAL_UNKNOWN, "A layer of something that no table has.", "constructions.csv",
       "construction,class,layers\nmine,wall,plasterbored 12.5\n",
       "construction,class,layers\nmine,wall,plasterboard 12.5\n")
MANUAL(TOO_MANY_LAYERS, "More layers than there is room for.", "constructions.csv",
       "construction,class,layers\nmine,wall,wood 1/air 1/wood 1/air 1/wood 1/air 1/wood 1/air "
       "1/wood 1/air 1/wood 1/air 1/wood 1/air 1/wood 1/air 1/wood 1\n",
       "construction,class,layers\nmine,wall,wood 9/air 8\n")
MANUAL(LEVEL_UNKNOWN, "A wall or a device on a level that levels.csv does not have.",
       "devices.csv", "device,role,level,x_m,y_m\npanel,receiver,gruond,5,1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\n")
MANUAL(NOT_A_FLOOR, "A level whose floor is built of a wall.", "levels.csv",
       "level,floor_z_m,height_m,floor_construction\nground,0,2.6,brick\n",
       "level,floor_z_m,height_m,floor_construction\nground,0,2.6,timber-floor\n")
MANUAL(RING_UNKNOWN, "A ring that is neither the outline nor a hole.", "floors.csv",
       "level,ring,x_m,y_m\nfirst,outside,0,0\nfirst,outside,9,0\nfirst,outside,9,9\n",
       "level,ring,x_m,y_m\nfirst,outer,0,0\nfirst,outer,9,0\nfirst,outer,9,9\n")
MANUAL(RING_TOO_SHORT, "An outline of two corners.", "floors.csv",
       "level,ring,x_m,y_m\nfirst,outer,0,0\nfirst,outer,9,0\n",
       "level,ring,x_m,y_m\nfirst,outer,0,0\nfirst,outer,9,0\nfirst,outer,9,9\n")
MANUAL(
    NO_OUTER_RING, "A floor that has a hole and no outline.", "floors.csv",
    "level,ring,x_m,y_m\nfirst,hole 1,1,1\nfirst,hole 1,2,1\nfirst,hole 1,2,2\n",
    "level,ring,x_m,y_m\nfirst,outer,0,0\nfirst,outer,9,0\nfirst,outer,9,9\nfirst,hole 1,7,1\n"
    "first,hole 1,8,1\nfirst,hole 1,8,2\n")
MANUAL(WALL_NO_LENGTH, "A wall that ends where it begins.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,0,8,brick\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n")
MANUAL(TOP_BELOW_BOTTOM, "Top and bottom swapped.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction,bottom_m,top_m\n"
       "north,ground,0,8,10,8,brick,2,0\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction,bottom_m,top_m\n"
       "north,ground,0,8,10,8,brick,0,2\n")
MANUAL(WALL_UNKNOWN, "An opening in a wall that walls.csv does not have.", "openings.csv",
       "opening,wall,from_m,to_m,construction\ndoor,noth,1,1.9,inside-door\n",
       "opening,wall,from_m,to_m,construction\ndoor,north,1,1.9,inside-door\n")
MANUAL(OPENING_PAST_WALL, "A door that ends beyond its wall.", "openings.csv",
       "opening,wall,from_m,to_m,construction\ndoor,north,9.5,10.4,inside-door\n",
       "opening,wall,from_m,to_m,construction\ndoor,north,9,9.9,inside-door\n")
MANUAL(OPENING_BACKWARD, "A door measured from both ends of its wall.", "openings.csv",
       "opening,wall,from_m,to_m,construction\ndoor,north,3,2,inside-door\n",
       "opening,wall,from_m,to_m,construction\ndoor,north,2,3,inside-door\n")
MANUAL(OPENINGS_OVERLAP, "Two openings of one wall share a piece of it.", "openings.csv",
       "opening,wall,from_m,to_m,construction\ndoor,north,1,2,inside-door\n"
       "window,north,1.5,3,glass\n",
       "opening,wall,from_m,to_m,construction\ndoor,north,1,2,inside-door\n"
       "window,north,2,3,glass\n")
MANUAL(OPENING_MISSES_WALL, "An opening lies above the wall it is said to be in, or below.",
       "openings.csv",
       "opening,wall,from_m,to_m,construction,bottom_m,top_m\nw,north,1,2,glass,3,4\n",
       "opening,wall,from_m,to_m,construction,bottom_m,top_m\nw,north,1,2,glass,1,2\n")
MANUAL(OPENING_OUTSIDE, "A part of an opening lies above its wall, or below.", "openings.csv",
       "opening,wall,from_m,to_m,construction,bottom_m,top_m\nw,north,1,2,glass,1,3\n",
       "opening,wall,from_m,to_m,construction,bottom_m,top_m\nw,north,1,2,glass,1,2\n")
MANUAL(HALF_A_PLACE, "Only one of two coordinates.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\n")
MANUAL(LEVEL_BLANK, "A device has a place but no level, and there are several levels.",
       "devices.csv", "device,role,level,x_m,y_m\npanel,receiver,,5,1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\n")
MANUAL(LEVEL_COLUMN_MISSING, "Places without a column for the level, and several levels.",
       "devices.csv", "device,role,x_m,y_m\npanel,receiver,5,1\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\n")
MANUAL(HEIGHT_OUTSIDE,
       "A device is more than half a meter under the floor of its level or over its ceiling.",
       "devices.csv",
       "device,role,level,x_m,y_m,height_m,type\npanel,receiver,ground,1,1,4.1,receiver\n",
       "device,role,level,x_m,y_m,height_m,type\npanel,receiver,first,1,1,1.3,receiver\n")
MANUAL(RADIO_UNKNOWN, "A radio that no table has.", "devices.csv",
       "device,role,radio\npanel,receiver,868-10w\n",
       "device,role,radio\npanel,receiver,868-10mw\n")
MANUAL(MOUNT_UNKNOWN, "A mount that no table has.", "devices.csv",
       "device,role,mount\npanel,receiver,metal box\n",
       "device,role,mount\npanel,receiver,inside-metal\n")
MANUAL(DEVICE_UNKNOWN, "A row that names a device which devices.csv does not have.",
       "paths.csv", "device,to,length_m\nhal,panel,9\n", "device,to,length_m\nhall,panel,9\n")
MANUAL(SENSOR_HEARS, "A sensor with names in the column hears.", "devices.csv",
       "device,role,hears\npanel,receiver,\nhall,sensor,panel\n",
       "device,role,hears\npanel,receiver,hall\nhall,sensor,\n")
MANUAL(HEARS_NOBODY, "A list of names without a name.", "devices.csv",
       "device,role,hears\npanel,receiver,;\n", "device,role,hears\npanel,receiver,\n")
MANUAL(NO_DEVICES, "A survey without any device.", "devices.csv", "device,role\n",
       "device,role\npanel,receiver\n")
MANUAL(NO_RECEIVER, "Sensors, and nobody to hear them.", "devices.csv",
       "device,role\nhall,sensor\n", "device,role\nhall,sensor\npanel,receiver\n")
MANUAL(NO_PLACE, "A device with neither coordinates nor a path.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,,\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,2,7\n")
MANUAL(WALLS_NEARLY_MEET,
       "A partition drawn to the face of a wall, which was drawn along its "
       "middle.",
       "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n"
       "middle,ground,5,0,5,7.9,plasterboard\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n"
       "middle,ground,5,0,5,8,plasterboard\n")
MANUAL(WALLS_ON_EACH_OTHER, "One wall drawn twice, once for each room.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nhall-north,ground,0,8,5,8,brick\n"
       "den-south,ground,6,8,2,8,brick\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,6,8,brick\n")
MANUAL(DEVICE_IN_WALL, "A contact drawn on the line of the wall that its window is in.",
       "devices.csv",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,1.5\n"
       "hall,sensor,ground,2,8,1.9\n",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,1.5\n"
       "hall,sensor,ground,2,7.9,1.9\n")
MANUAL(DEVICE_IN_METAL, "A receiver in a steel cabinet.", "devices.csv",
       "device,role,mount\npanel,receiver,inside-metal\n",
       "device,role,mount\npanel,receiver,wall\n")
MANUAL(
    LEVELS_OVERLAP, "Heights that were measured from different floors.", "levels.csv",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.9,\nfirst,2.5,2.5,timber-floor\n",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.4,\nfirst,2.5,2.5,timber-floor\n")
MANUAL(
    LEVELS_APART, "A storey that was forgotten.", "levels.csv",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.6,\nattic,5.6,2.5,timber-floor\n",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.6,\nfirst,2.8,2.5,timber-floor\n"
    "attic,5.6,2.5,timber-floor\n")
MANUAL(
    NO_SLAB, "An upper level without the floor it stands on.", "levels.csv",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.6,\nfirst,2.8,2.5,\n",
    "level,floor_z_m,height_m,floor_construction\nground,0,2.6,\nfirst,2.8,2.5,timber-floor\n")
MANUAL(TOO_CLOSE, "A keypad beside the receiver.", "devices.csv",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,1.5\nkeys,sensor,ground,"
       "5.4,1,1.5\n",
       "device,role,level,x_m,y_m,height_m\npanel,receiver,ground,5,1,1.5\nkeys,sensor,ground,"
       "6.4,1,1.5\n")
MANUAL(SAME_PLACE, "A row that was copied and not changed.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,2,7\nden,"
       "sensor,ground,2,7\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,2,7\nden,"
       "sensor,ground,8,7\n")
MANUAL(OUTSIDE_PLAN, "Feet in a column of meters.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,30,6\n",
       "device,role,level,x_ft,y_ft\npanel,receiver,ground,16,3\nhall,sensor,ground,30,6\n")
MANUAL(ODD_HEIGHT, "A smoke detector at switch height, or a flood detector at the ceiling.",
       "devices.csv",
       "device,role,level,x_m,y_m,height_m,type\npanel,receiver,ground,5,1,1.5,\nhall,sensor,"
       "ground,2,7,switch,"
       "smoke\n",
       "device,role,level,x_m,y_m,height_m,type\npanel,receiver,ground,5,1,1.5,\n"
       "hall,sensor,ground,2,7,ceiling,smoke\n")
MANUAL(LIFE_UNSUPERVISED, "A device that guards life, enrolled without supervision.",
       "devices.csv", "device,role,type,supervised\npanel,receiver,,\nhall,sensor,smoke,no\n",
       "device,role,type,supervised\npanel,receiver,,\nhall,sensor,smoke,yes\n")
MANUAL(ODD_CLASS, "A wall of a floor, or a door of a wall.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,timber-floor\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n")
MANUAL(OTHER_BAND, "A receiver that cannot hear its sensor, being of another band.",
       "devices.csv",
       "device,role,level,x_m,y_m,radio\npanel,receiver,ground,5,1,345-us\nhall,sensor,ground,"
       "2,7,868-10mw\n",
       "device,role,level,x_m,y_m,radio\npanel,receiver,ground,5,1,868-10mw\nhall,sensor,"
       "ground,2,7,868-10mw\n")
MANUAL(TOLD_OTHERWISE, "Two paths of one sensor that call it different things.", NULL, NULL,
       NULL)
MANUAL(TOLD_TWICE, "paths.csv tells of devices, and so does devices.csv, which wins.",
       "paths.csv", "device,to,length_m,type\nhall,panel,9,smoke\n",
       "device,to,length_m\nhall,panel,9\n")
MANUAL(CROSSING_UNKNOWN, "A word in crossings that nobody knows.", "paths.csv",
       "device,to,length_m,crossings\nhall,panel,9,brik\n",
       "device,to,length_m,crossings\nhall,panel,9,brick\n")
MANUAL(PATH_TO_SENSOR, "A path that ends at a sensor.", "paths.csv",
       "device,to,length_m\npanel,hall,9\n", "device,to,length_m\nhall,panel,9\n")
MANUAL(PATH_TO_ITSELF, "A path from the receiver to the receiver.", "paths.csv",
       "device,to,length_m\npanel,panel,9\n", "device,to,length_m\nhall,panel,9\n")
MANUAL(PATH_TWICE, "Two paths between the same two.", "paths.csv",
       "device,to,length_m\nhall,panel,9\nhall,panel,12\n",
       "device,to,length_m\nhall,panel,9\n")
MANUAL(WALLS_COUNT_TWICE, "An environment that has walls in its distance already, and walls.",
       "site.csv", "key,value\nenvironment,dwelling-by-distance\n",
       "key,value\nenvironment,dwelling\n")
MANUAL(NO_WALLS, "An environment that expects walls, and none are drawn.", "walls.csv",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\n",
       "wall,level,x1_m,y1_m,x2_m,y2_m,construction\nnorth,ground,0,8,10,8,brick\n")
MANUAL(PATH_DISAGREES, "A path row that crosses what the plan does not have.", "paths.csv",
       "device,to,length_m,crossings\nhall,panel,8,\"concrete, concrete\"\n",
       "device,to,length_m,crossings\nhall,panel,8,brick\n")
MANUAL(REPEATER_FULL, "A repeater that too many zones hang on.", NULL, NULL, NULL)
MANUAL(HEARD_AGAINST, "A zone that should be heard, and was not.", "readings.csv",
       "heard_at,device,reading\npanel,hall,none\n",
       "heard_at,device,trips,heard\npanel,hall,10,10\n")
MANUAL(LOOKS_SWAPPED, "Two zones under each other's name.", NULL, NULL, NULL)
MANUAL(LOOKS_ELSEWHERE, "A reading made at another sensor's place.", NULL, NULL, NULL)
MANUAL(LOOKS_STUCK, "A meter that shows one value wherever it stands.", NULL, NULL, NULL)
MANUAL(LOOKS_SLIPPED, "A digit too many, or two swapped.", NULL, NULL, NULL)
MANUAL(LOOKS_OTHER_SCALE, "Readings of one scale written under another.", NULL, NULL, NULL)
MANUAL(FAR_FREQUENCY, "A loss known at one frequency, used far from it.", "radios.csv",
       "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n868-10mw,2450,10,-100,mine\n",
       "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n868-10mw,868,10,-100,mine\n")
MANUAL(FAR_AWAY, "A sensor far across the yard.", "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nshed,sensor,ground,5,80\n",
       "device,role,level,x_m,y_m\npanel,receiver,ground,5,1\nhall,sensor,ground,5,7\n")
MANUAL(COUNTRY_UNKNOWN, "A country whose limits the tables do not have.", "site.csv",
       "key,value\ncountry,XX\nenvironment,dwelling\n",
       "key,value\ncountry,IE\nenvironment,dwelling\n")
MANUAL(NO_BAND, "A radio of another continent.", "devices.csv",
       "device,role,radio\npanel,receiver,345-us\n",
       "device,role,radio\npanel,receiver,868-10mw\n")
MANUAL(OVER_LIMIT, "A radio that sends more than its band allows.", "radios.csv",
       "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n868-10mw,868.3,30,-100,mine\n",
       "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n868-10mw,868.3,10,-100,mine\n")
MANUAL(POWER_FROM_LIMIT, "A radio whose power nobody gave.", "radios.csv",
       "radio,freq_mhz,sensitivity_dbm,source\n868-10mw,868.3,-100,mine\n",
       "radio,freq_mhz,eirp_dbm,sensitivity_dbm,source\n868-10mw,868.3,10,-100,mine\n")
MANUAL(EXTRAPOLATED, "A wall known only by its layers, below 1 GHz.", NULL, NULL, NULL)
MANUAL(SCALE_UNKNOWN, "Bars of a meter that no table has.", "readings.csv",
       "heard_at,device,reading,scale\npanel,hall,3,bar\n",
       "heard_at,device,reading,scale\npanel,hall,-70,\n")
MANUAL(READING_UNREADABLE, "A letter among the digits of a reading.", "readings.csv",
       "heard_at,device,reading\npanel,hall,-7l\n", "heard_at,device,reading\npanel,hall,-71\n")
MANUAL(READING_DASH, "A dash where nothing was heard, or where nobody looked.", "readings.csv",
       "heard_at,device,reading\npanel,hall,-\n", "heard_at,device,reading\npanel,hall,none\n")
MANUAL(READING_OTHER_UNIT, "A reading whose unit is not that of its scale.", "readings.csv",
       "heard_at,device,reading,scale\npanel,hall,40 %,\n",
       "heard_at,device,reading,scale\npanel,hall,40 %,percent\n")
MANUAL(NO_SUCH_STEP, "A bar that the meter does not have.", "readings.csv",
       "heard_at,device,reading,scale\npanel,hall,7,bars-5\n",
       "heard_at,device,reading,scale\npanel,hall,4,bars-5\n")
MANUAL(LEVEL_TOO_HIGH, "A level without its minus sign, or bars without their scale.",
       "readings.csv", "heard_at,device,reading\npanel,hall,71\n",
       "heard_at,device,reading\npanel,hall,-71\n")
MANUAL(NOT_MERGED, "Readings that no building and no meter could give.", "readings.csv", NULL,
       NULL)
MANUAL(TOO_MANY_READINGS, "Thousands of rows, as a logging meter writes them.", "readings.csv",
       NULL, NULL)
MANUAL(READING_REJECTED, "A reading that somebody judged to be a slip.", "readings.csv",
       "heard_at,device,reading,use\npanel,hall,-20,reject\n",
       "heard_at,device,reading,use\npanel,hall,-20,\n")
MANUAL(READING_TWICE, "A log that was pasted twice.", "readings.csv",
       "heard_at,device,reading,time\npanel,hall,-70,10:05\npanel,hall,-70,10:05\n",
       "heard_at,device,reading,time\npanel,hall,-70,10:05\npanel,hall,-70,10:09\n")
MANUAL(READING_AGAIN, "A log that holds what an earlier one or readings.csv holds too.", NULL,
       NULL, NULL)
MANUAL(READ_BEFORE, "A zone that was mended between two visits.", "readings.csv",
       "heard_at,device,trips,heard,placed,visit,as_left\npanel,hall,10,4,in place,1,\n"
       "panel,hall,10,10,in place,2,yes\n",
       "heard_at,device,trips,heard,placed,visit,as_left\npanel,hall,10,10,in place,2,yes\n")
MANUAL(VISIT_JAMMED, "A visit on which strong links fell silent.", NULL, NULL, NULL)
MANUAL(VISIT_DEAF, "A receiver that heard nothing on one visit.", NULL, NULL, NULL)
MANUAL(VISIT_NOISY, "A visit on which the noise at a receiver had risen.", NULL, NULL, NULL)
MANUAL(VISIT_LONG, "Two visits under one name.", "readings.csv",
       "heard_at,device,reading,time\npanel,hall,-60,2025-03-02\npanel,hall,-71,2026-04-11\n",
       "heard_at,device,reading,time,visit\npanel,hall,-60,2025-03-02,1\n"
       "panel,hall,-71,2026-04-11,2\n")
MANUAL(LOG_NO_FILE, "A log that is called otherwise in the folder.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "metre.csv,Zone,device,zone,,\n"
       "metre.csv,RSSI,reading,dBm,,\n"
       "metre.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_IS_TABLE, "A mapping of readings.csv itself.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "readings.csv,Zone,device,zone,,\n"
       "readings.csv,RSSI,reading,dBm,,\n"
       "readings.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_COLUMN_MISSING, "A log whose columns have other names.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_COLUMN_TWICE, "A log with two columns of one name, for two antennas.", "meter.csv",
       "Zone,RSSI,RSSI\n1,-60,-71\n", "Zone,RSSI,SNR\n1,-60,20\n")
MANUAL(LOG_OUR_COLUMN, "A column that readings.csv does not have.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,signal_strength,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_TWICE_MAPPED, "Two columns of a log that are to be the same one.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n"
       "meter.csv,SNR,reading,,,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_UNIT_UNKNOWN, "A unit that nobody can turn into dBm.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dB,,\n"
       "meter.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_UNIT, "A unit where there is none.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n"
       "meter.csv,SNR,time,s,,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_LENGTH_UNIT, "A place in nobody knows what unit.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n"
       "meter.csv,SNR,x,,,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_HALF, "A value beside a column that has values of its own.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,RSSI,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_BLANK, "A row that was begun and not finished.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n"
       "meter.csv,,placed,,,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_LACKS, "A log of which nobody said who was heard.", "columns.csv",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n",
       "file,their_column,our_column,unit_or_scale,value,their_value\n"
       "meter.csv,Zone,device,zone,,\n"
       "meter.csv,RSSI,reading,dBm,,\n"
       "meter.csv,,heard_at,,panel,\n")
MANUAL(LOG_STRANGER,
       "A receiver hears the neighbors' transmitters too. Nothing is wrong with that.",
       "meter.csv", "Zone,RSSI,SNR\n1,-60,20\n77,-80,9\n", "Zone,RSSI,SNR\n1,-60,20\n")
MANUAL(LOG_SEVERAL,
       "A number or word that two devices go by, such as a serial with two inputs.", NULL, NULL,
       NULL)
MANUAL(READ_NOWHERE, "A reading that nobody can tell where it was made.", "readings.csv",
       "heard_at,device,reading\npanel,,-70\n", "heard_at,device,reading\npanel,hall,-70\n")
MANUAL(READ_PLACE_TWICE, "A device that is somewhere else than devices.csv says.",
       "readings.csv", "heard_at,device,reading,x_m,y_m\npanel,hall,-70,1,2\n",
       "heard_at,device,reading,x_m,y_m\npanel,hall,-70,,\n")
MANUAL(WALKED_DEVICE, "A device that was carried about, without saying where to.",
       "readings.csv", "heard_at,device,reading,placed\npanel,hall,-70,walked\n",
       "heard_at,device,reading,placed\npanel,hall,-70,held\n")
MANUAL(SCALE_WRONG, "A meter's table that cannot be read one way only.", "scales.csv",
       "scale,reading,dbm,kind,source\nours,1,-80,bottom,tried\nours,2,-90,bottom,tried\n",
       "scale,reading,dbm,kind,source\nours,1,-90,bottom,tried\nours,2,-80,bottom,tried\n")
MANUAL(TRIPS_WITHOUT_HEARD, "How many were heard, but not of how many.", "readings.csv",
       "heard_at,device,trips,heard\npanel,hall,,8\n",
       "heard_at,device,trips,heard\npanel,hall,10,10\n")
MANUAL(MORE_HEARD_THAN_TRIPS, "The two numbers swapped.", "readings.csv",
       "heard_at,device,trips,heard\npanel,hall,9,10\n",
       "heard_at,device,trips,heard\npanel,hall,10,9\n")
MANUAL(NOISE_LOUD,
       "A level of noise that is hardly noise: the minus sign or a digit is missing.",
       "readings.csv", "heard_at,device,noise\npanel,hall,-11\n",
       "heard_at,device,noise\npanel,hall,-110\n")
MANUAL(HEARD_AT_SENSOR, "The sensor where the receiver should stand.", "readings.csv",
       "heard_at,device,reading\nhall,panel,-71\n", "heard_at,device,reading\npanel,hall,-71\n")

/* ---- the zone schedule ---- */

MANUAL(SERIAL_TWICE, "Two zones of one transmitter without input numbers.", "devices.csv",
       "device,role,serial,input\npanel,receiver,,\ndoor,sensor,T7,\nglass,sensor,T7,\n",
       "device,role,serial,input\npanel,receiver,,\ndoor,sensor,T7,1\nglass,sensor,T7,2\n")
MANUAL(ZONE_WIRED, "A wireless zone with a number that is wired.", "site.csv",
       "key,value\nwired_zones,1-4\n", "key,value\nwired_zones,5-8\n")
MANUAL(ZONE_TWICE, "One zone number given to two devices.", "devices.csv",
       "device,role,zone\npanel,receiver,\ndoor,sensor,3\nglass,sensor,3\n",
       "device,role,zone\npanel,receiver,\ndoor,sensor,3\nglass,sensor,4\n")
MANUAL(TYPE_BLANK, "Sensors without a type: which of them guard life, nobody can tell.",
       "devices.csv",
       "device,role,level,x_m,y_m\npanel,receiver,ground,1,1\nhall,sensor,ground,2,7.5\n",
       "device,role,level,x_m,y_m,type\npanel,receiver,ground,1,1,\nhall,sensor,ground,2,7.5,"
       "motion\n")
MANUAL(LABEL_REPEATS_TYPE, "A label with the type in it.", "devices.csv",
       "device,role,label,type\npanel,receiver,,\nhall,sensor,hall motion,motion\n",
       "device,role,label,type\npanel,receiver,,\nhall,sensor,hall,motion\n")
MANUAL(UNSUPERVISED, "A fixed sensor that is not supervised.", "devices.csv",
       "device,role,type,supervised\npanel,receiver,,\nhall,sensor,motion,no\n",
       "device,role,type,supervised\npanel,receiver,,\nhall,sensor,motion,yes\n")

/* ---- a page that carries tables ---- */

MANUAL(CARRIED_NONE, "A page that is not the technician's.", NULL, NULL, NULL)
MANUAL(CARRIED_DAMAGED, "A page that was cut off or changed on its way.", NULL, NULL, NULL)
MANUAL(CARRIED_NAME, "A page somebody made up to write elsewhere.", NULL, NULL, NULL)
MANUAL(CARRIED_TWICE, "A page that two were pasted into.", NULL, NULL, NULL)
MANUAL(CARRIED_TOO_MANY, "More tables than a survey has.", NULL, NULL, NULL)

/* ---- words of one link ---- */

MANUAL(WORD_UNKNOWN, "A word that names nothing.", "words", "12m briick", "12m brick")
MANUAL(NUMBER_WITHOUT_UNIT, "A distance without its unit.", "words", "12 brick brick 3",
       "12m brick brick")
MANUAL(WORD_COMMA, "A decimal comma.", "words", "12,5m brick", "12.5m brick")
MANUAL(NO_LENGTH, "Walls, and no distance.", "words", "brick brick", "12m brick brick")
MANUAL(LENGTH_TWICE, "Two distances.", "words", "12m 3m brick", "15m brick")
MANUAL(LENGTH_TOO_FAR, "Kilometers, or a slip.", "words", "40000m", "400m")
MANUAL(LENGTH_NONE, "A distance of nothing, or below it.", "words", "0m brick", "1m brick")
MANUAL(SAID_TWICE, "Two words of which only one can be meant.", "words", "12m 868 345-us",
       "12m 868")
MANUAL(RADIO_ASSUMED, "Words that name no radio.", "words", "12m brick", "12m brick 868")
MANUAL(BAND_UNKNOWN, "A band with no radio in the tables.", NULL, NULL, NULL)
MANUAL(CLAIM_UNREADABLE, "A rated range that is no length.", NULL, NULL, NULL)

/* ---- looking a wall up ---- */

MANUAL(NO_SUCH_WALL, "A wall that no table has.", "loss", "briick", "brick")
MANUAL(NOTHING_TOLD, "Words that fit every wall, or none.", "look", "purple", "hollow")

/* ---- plans ----
 *
 * "plan.svg" is read with --scale "scale 1", "house.geojson" as it is, and "layers.csv" with a
 * plan that has lines on the layers outside and inside.
 */

MANUAL(PLAN_OTHER_FILE, "A plan that was saved as something else.", "plan.svg", "%PDF-1.4\n",
       PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_TOO_LARGE,
       "A plan with photographs in it, or with a building of thousands of rooms.", NULL, NULL,
       NULL)
MANUAL(PLAN_NOT_XML, "A drawing that was cut short, or edited by hand.", "plan.svg",
       "<svg><g><line x2=\"50\"/></svg>\n", PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_NOT_JSON, "A file that was cut short, or edited by hand.", "house.geojson",
       "{\"type\":\"LineString\",,}\n", PLAN_IN_GEOJSON("LineString", "[[0,0],[5,0]]"))
MANUAL(PLAN_DEFINITIONS,
       "A drawing that declares entities, as some programs do, and as files do "
       "that are made to do harm.",
       "plan.svg", "<!DOCTYPE svg [<!ENTITY brick \"brick\">]>\n" PLAN_IN_SVG(BRICK_LINE),
       PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_OUTSIDE, "A drawing that wants another file to be read with it.", "plan.svg",
       "<!DOCTYPE svg SYSTEM \"other.dtd\">\n" PLAN_IN_SVG(BRICK_LINE), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_TOO_DEEP, "Groups of groups of groups.", NULL, NULL, NULL)
MANUAL(PLAN_TOO_MANY, "A plan with everything on it.", NULL, NULL, NULL)
MANUAL(PLAN_LENGTH, "A length in a unit that depends on a font.", "plan.svg",
       PLAN_IN_SVG("<line class=\"brick\" x2=\"5em\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_TRANSFORM, "A transform that SVG does not have.", "plan.svg",
       PLAN_IN_SVG("<g transform=\"turn(90)\">" BRICK_LINE "</g>"),
       PLAN_IN_SVG("<g transform=\"rotate(90)\">" BRICK_LINE "</g>"))
MANUAL(PLAN_POINTS, "A point of which one number is missing.", "plan.svg",
       PLAN_IN_SVG("<polyline class=\"brick\" points=\"0,0 50\"/>"),
       PLAN_IN_SVG("<polyline class=\"brick\" points=\"0,0 50,0\"/>"))
MANUAL(PLAN_CURVE, "The swing of a door, a round table, a bay drawn as an arc.", "plan.svg",
       PLAN_IN_SVG(BRICK_LINE "<circle r=\"5\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_LEFT_OUT, "Text, pictures, hidden layers and copies in the drawing.", "plan.svg",
       PLAN_IN_SVG(BRICK_LINE "<text>Hall</text>"), NULL)
MANUAL(PLAN_SHORT, "A click too many while drawing.", "plan.svg",
       PLAN_IN_SVG(BRICK_LINE "<line class=\"brick\" x2=\"0.05\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_TWICE, "Two rooms drawn as rectangles have the wall between them twice.",
       "plan.svg", PLAN_IN_SVG(BRICK_LINE BRICK_LINE), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_LAYER_UNLISTED, "A layer of the drawing for which the table has no row.",
       "layers.csv", "layer,construction\noutside,brick\n",
       "layer,construction\noutside,brick\ninside,stud-wall\n")
MANUAL(PLAN_LAYER_UNUSED, "A row for a layer that the drawing has not, or calls otherwise.",
       "layers.csv", "layer,construction\noutside,brick\ninside,stud-wall\nroof,brick\n",
       "layer,construction\noutside,brick\ninside,stud-wall\n")
MANUAL(PLAN_NO_CONSTRUCTION, "A line in no group and without a class, and no --construction.",
       "plan.svg", PLAN_IN_SVG("<line x2=\"50\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_NO_SCALE, "SVG has no meters; the scale must be told.", NULL, NULL, NULL)
MANUAL(PLAN_SCALE_LINE,
       "The line that tells the scale has another name, or is a path of pieces.", "plan.svg",
       "<svg>" BRICK_LINE "</svg>\n", PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_POINTS_ONE, "One point given twice, or a line without a length.", NULL, NULL, NULL)
MANUAL(PLAN_NO_SIZE, "A ratio like 1:50, and a drawing without a size on paper.", NULL, NULL,
       NULL)
MANUAL(PLAN_SCALE_UNWANTED, "A scale given for a plan in meters.", NULL, NULL, NULL)
MANUAL(PLAN_FAR, "A wrong scale, or a line far off the sheet.", "plan.svg",
       PLAN_IN_SVG("<line class=\"brick\" x2=\"50000\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_NO_WALLS, "A plan in which no line is left.", "plan.svg",
       PLAN_IN_SVG("<circle class=\"brick\" r=\"5\"/>"), PLAN_IN_SVG(BRICK_LINE))
MANUAL(PLAN_GEOMETRY, "A type misspelled, or of another format.", "house.geojson",
       PLAN_IN_GEOJSON("Line", "[[0,0],[5,0]]"), PLAN_IN_GEOJSON("LineString", "[[0,0],[5,0]]"))
MANUAL(PLAN_COORDINATES, "Coordinates written as text, or left out.", "house.geojson",
       PLAN_IN_GEOJSON("LineString", "\"0,0 5,0\""),
       PLAN_IN_GEOJSON("LineString", "[[0,0],[5,0]]"))
MANUAL(PLAN_POSITION, "A position of one number.", "house.geojson",
       PLAN_IN_GEOJSON("LineString", "[[0],[5,0]]"),
       PLAN_IN_GEOJSON("LineString", "[[0,0],[5,0]]"))
MANUAL(PLAN_MEMBER, "A collection without its list.", "house.geojson",
       "{\"type\":\"FeatureCollection\"}\n", PLAN_IN_GEOJSON("LineString", "[[0,0],[5,0]]"))
MANUAL(PLAN_HEIGHT, "A height in words, or in feet.", "house.geojson",
       "{\"type\":\"Feature\",\"properties\":{\"layer\":\"brick\",\"top_m\":\"low\"},"
       "\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[0,0],[5,0]]}}\n",
       "{\"type\":\"Feature\",\"properties\":{\"layer\":\"brick\",\"top_m\":2.1},"
       "\"geometry\":{\"type\":\"LineString\",\"coordinates\":[[0,0],[5,0]]}}\n")
