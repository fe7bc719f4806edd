/* vessel_chart.h - one vessel over time: its level, or what tests found in its water. */
#ifndef ULLAGE_SCREENS_VESSEL_CHART_H
#define ULLAGE_SCREENS_VESSEL_CHART_H

#include "tui/app.h"

typedef enum { OVER_LEVEL, OVER_CHLORINE, OVER_PH, OVER_TDS, OVER_COUNT } VesselOver;

/* Draws it into the area with a title; nothing where there is no room. The level is App.history,
 * results are those of the tests in App.found, newest first: with the guideline values that are
 * published, and the day from which on the residual may be under the least, where tests tell one.
 */
void vessel_chart_draw(const App *app, const BoardVessel *vessel, VesselOver over, int days,
                       Area area);

#endif
