/* season.h - an invented season of any length, for the benches: always the same bytes for the same
 * n.
 *
 * Four vessels on the line `galley`, one in reserve, one for washing, one apart; three stages; six
 * invented sources. Mostly draws of a cup to a pot; refills when the line runs low, soundings that
 * find a little less than reckoned, treatments, swaps, notes, a few voids. 1,000,000 entries cover
 * about ten years and more entries do not cover more, so that all of them lie in the past; fewer
 * cover less at the same pace.
 */
#ifndef ULLAGE_BENCH_SEASON_H
#define ULLAGE_BENCH_SEASON_H

#include <stdbool.h>
#include <stdint.h>

/* Writes n entries (at least 100) as JSON Lines and as CSV; a NULL path is left out. False with a
 * line on standard error where a file can't be written. *last_ms receives the time of the last
 * entry. */
bool season_write(int64_t n, const char *json_path, const char *csv_path, int64_t *last_ms);

#endif
