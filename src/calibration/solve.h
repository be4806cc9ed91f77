/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef CALIBRATION_SOLVE_H
#define CALIBRATION_SOLVE_H
void calibration_quiet_gsl(void);
#endif
