/* SPDX-License-Identifier: GPL-3.0-or-later */
/* shortage.h - makes an allocation of the code under test fail.
 *
 * A test program that is linked with shortage.c and the linker's --wrap has its malloc, calloc
 * and realloc, and those of the rooms, counted here. Other libraries keep their own.
 */
#ifndef UNIT_SHORTAGE_H
#define UNIT_SHORTAGE_H

/* The allocation after the next `n` fails, and so do all behind it, until shortage_end. */
void shortage_begin(long n);

/* The allocation after the next `n` fails, alone: what goes on as if nothing were is found so.
 */
void shortage_once(long n);

/* Allocations succeed again. Returns how many were refused. */
long shortage_end(void);

#endif
