/* SPDX-License-Identifier: GPL-3.0-or-later */
/* light.h - how fast a signal travels, in the one place that says so.
 *
 * For wavelengths: free space, slabs, the edge of an opening, how far half a wavelength is.
 */
#ifndef GEOMETRY_LIGHT_H
#define GEOMETRY_LIGHT_H

static const double light_m_per_s = 299792458.0; /* SI, exact */

#endif
