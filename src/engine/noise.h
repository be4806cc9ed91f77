/* SPDX-License-Identifier: GPL-3.0-or-later */
/* noise.h - noise from outside the receiver, and what it costs. */
#ifndef ENGINE_NOISE_H
#define ENGINE_NOISE_H

#include "survey.h"

/* Median man-made noise factor Fam, dB above kT0. Stated for 0.3 to 250 MHz, used above. */
double engine_man_made_db(enum survey_surroundings surroundings, double freq_mhz);

/* The form for cities from 200 to 900 MHz, dB. */
double engine_city_noise_db(double freq_mhz);

/* kT0 B, dBm. */
double engine_thermal_dbm(double bandwidth_khz);

/* Two powers added, dBm; the one way to add two dBm. Not a number when either is not. */
double engine_add_dbm(double first_dbm, double second_dbm);

#endif
