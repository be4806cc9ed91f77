/* SPDX-License-Identifier: GPL-3.0-or-later */
/* headers.h - what else people write above a column: ALSO(table, column, "words").
 *
 * Included by headers.c and its test; no include guard, on purpose. A header is looked up by
 * its letters and digits alone, without case, and a length without its unit: "Zone No." is
 * zoneno, "Mounting height (ft)" is mountingheight. The names in columns.h need no line here.
 * No word may mean two columns of one table.
 */
ALSO(SITE, KEY, "item|setting|name")
ALSO(SITE, NOTE, "notes|remark|remarks|comment|comments")

ALSO(LEVELS, LEVEL, "levelname|storey|story|name")
ALSO(LEVELS, FLOOR_Z, "z|floorheight|floorelevation|elevation")
ALSO(LEVELS, HEIGHT, "ceiling|ceilingheight|storeyheight|storyheight|roomheight")
ALSO(LEVELS, FLOOR_CONSTRUCTION, "slab|floortype|flooris")

ALSO(FLOORS, LEVEL, "storey|story|floor")
ALSO(FLOORS, RING, "outline")

ALSO(WALLS, WALL, "wallname|wallno|wallnumber|name")
ALSO(WALLS, LEVEL, "storey|story|floor")
ALSO(WALLS, X1, "xstart|startx|xfrom|fromx|xa")
ALSO(WALLS, Y1, "ystart|starty|yfrom|fromy|ya")
ALSO(WALLS, X2, "xend|endx|xto|tox|xb")
ALSO(WALLS, Y2, "yend|endy|yto|toy|yb")
ALSO(WALLS, CONSTRUCTION, "material|builtof|walltype|type|kind")
ALSO(WALLS, BOTTOM, "base|loweredge")
ALSO(WALLS, TOP, "upperedge")

ALSO(OPENINGS, OPENING, "openingname|openingno|openingnumber|name")
ALSO(OPENINGS, WALL, "inwall|wallname")
ALSO(OPENINGS, FROM, "start|begin|begins")
ALSO(OPENINGS, TO, "end|ends")
ALSO(OPENINGS, CONSTRUCTION, "material|madeof|type|kind")
ALSO(OPENINGS, BOTTOM, "sill|sillheight")
ALSO(OPENINGS, TOP, "head|headheight|lintel")

ALSO(DEVICES, DEVICE, "devicename|sensor|sensorname|name|tag")
ALSO(DEVICES, ROLE, "function")
ALSO(DEVICES, LEVEL, "storey|story|floor")
ALSO(DEVICES, X, "xposition|positionx|posx")
ALSO(DEVICES, Y, "yposition|positiony|posy")
ALSO(DEVICES, HEIGHT, "mountingheight|mountheight|heightabovefloor")
ALSO(DEVICES, RADIO, "radiotype|radioclass")
ALSO(DEVICES, MOUNT, "mounting|mountedon|fixing")
ALSO(DEVICES, ZONE, "zoneno|zonenumber|zonenr")
ALSO(DEVICES, LABEL, "zonelabel|zonename|description")
ALSO(DEVICES, ROOM, "location|roomname")
ALSO(DEVICES, SERIAL, "serialno|serialnumber|serialnr")
ALSO(DEVICES, INPUT, "inputno|inputnumber|inputnr")
ALSO(DEVICES, TYPE, "kind|devicetype|sensortype|detectortype")
ALSO(DEVICES, SUPERVISED, "supervision")
ALSO(DEVICES, HEARS, "listensto")

ALSO(PATHS, DEVICE, "devicename|sensor|sensorname|name|from")
ALSO(PATHS, TO, "receiver|heardby|listener")
ALSO(PATHS, LENGTH, "distance")
ALSO(PATHS, CROSSINGS, "crosses|through|between|inbetween|walls")
ALSO(PATHS, MOUNT, "mounting|mountedon|fixing")
ALSO(PATHS, ROOM, "location|roomname")

ALSO(SPOTS, SPOT, "spotname|place|name")
ALSO(SPOTS, LEVEL, "storey|story|floor")
ALSO(SPOTS, X, "xposition|positionx|posx")
ALSO(SPOTS, Y, "yposition|positiony|posy")
ALSO(SPOTS, HEIGHT, "mountingheight|mountheight|heightabovefloor")
ALSO(SPOTS, MAINS, "mainspower|power")
ALSO(SPOTS, NOTE, "notes|remark|remarks|comment|comments")

ALSO(READINGS, HEARD_AT, "heardby|listener|receiver")
ALSO(READINGS, DEVICE, "devicename|sensor|sensorname|name")
ALSO(READINGS, READING, "rssi|level|signal")
ALSO(READINGS, SCALE, "meter|readingunit")
ALSO(READINGS, TIME, "date|when|dateandtime")
ALSO(READINGS, TRIPS, "tries|tripped")
ALSO(READINGS, NOISE, "noisefloor|noiselevel")
ALSO(READINGS, DOORS, "doorswere")
ALSO(READINGS, PAD, "pad|attenuator")
ALSO(READINGS, NOTE, "notes|remark|remarks|comment|comments")

ALSO(CONSTRUCTIONS, CONSTRUCTION, "name")
ALSO(CONSTRUCTIONS, NOTE, "notes|remark|remarks|comment|comments")
ALSO(PENETRATION, FREQ, "freq|frequency|frequencymhz")
ALSO(ENVIRONMENTS, ENVIRONMENT, "name")
ALSO(RADIOS, RADIO, "name")
ALSO(RADIOS, FREQ, "freq|frequency|frequencymhz")
ALSO(MOUNTS, MOUNT, "name|mounting")
