/* line.h - water moving along a series line (domain: "A series line").
 *
 * Air enters the first vessel and presses its water through the others to the tap. At constant
 * pressure the vessel nearest the air that still has reachable water (the lead) loses level; those
 * downstream hold theirs while water flows through them and mixes.
 *
 * Mixing: each vessel is well mixed, so with all volumes v measured at the tap
 *     s(k) constant,  W(j) ds(j)/dv = s(j-1) - s(j)   for j = k+1..n
 * (tanks in series; MacMullin & Weber, Trans. AIChE 31, 1935). Solved exactly, not stepped: one
 * downstream vessel in closed form, several by the Poisson-weighted series of the matrix
 * exponential (uniformisation), all of whose terms are positive, so nothing cancels; long draws by
 * squaring its matrix.
 */
#ifndef ULLAGE_MODEL_LINE_H
#define ULLAGE_MODEL_LINE_H

#include "model/state.h"

/* Index in the line's order of the lead; -1 where no vessel has water above its heel. */
int line_lead(const State *state, const Line *line);
int64_t line_usable(const State *state, const Line *line);
int64_t line_volume(const State *state, const Line *line);
/* Class that the tap would deliver with the next millilitre: the worst from the lead to the tap,
 * and non-potable where such water reached the tap since the vessels were sanitised, questionable
 * where a test at the tap found coliforms since or a vessel that nobody named is coupled; false where the line has nothing to deliver. */
bool line_delivers(const State *state, const Line *line, Quality *quality);

/* Draws ml (>= 0) at the tap. Returns what could not be had (0 where all of it could). Levels,
 * classes, ages, the stages' litres and lamp time follow; totals and use do not (the caller books
 * them). */
int64_t line_draw(State *state, int line, int64_t ml);
/* The same for ml (0..its volume) that left by the tap out of the vessel at place k, as a sounding
 * finds it: what nobody logged took the same road, with that vessel as the lead. */
void line_leave(State *state, int line, int k, int64_t ml);
/* Some of what the vessel at place k holds, or was wetted by, passed on to the tap: nobody knows how
 * much. Its class and marks go along. */
void line_wetted(State *state, int line, int k);
/* ml (>= 0) went through its stages, out of whichever vessel. */
void line_passed(State *state, int line, int64_t ml);
/* Is every vessel of it full to the brim? Then nothing can be missing, whichever was filled last.
 */
bool line_brimful(const State *state, const Line *line);

/* Pressurises a vented line to gauge pressure p over ambient pa (both Pa, p >= 0, pa > 0):
 * isothermal shrink of each headspace downstream of the lead from H to H pa/(pa+p) (Boyle). Volumes
 * are rounded to whole mL by largest remainder, so that the total is conserved exactly. */
void line_pressurise(State *state, int line, int64_t p_pa, int64_t ambient_pa);

/* The vessel of the line with the lowest known rating; NULL: none is known. */
const Vessel *line_weakest(const State *state, const Line *line);
/* The labels of those whose rating nobody gave, between commas; nothing where all are known.
 * Appends. */
void line_unrated_tell(const State *state, const Line *line, Str *out);

/* The mixing itself. s[0..n]: s[0] is the constant inflow; W[1..n] the volumes of the vessels that
 * the water passes (W = 0 passes it straight on); v >= 0 in the same unit as W. s[1..n] are
 * replaced by their values after v. n <= VESSELS_ABOARD_MAX. */
void line_mix(double *s, const double *W, int n, double v);

#endif
