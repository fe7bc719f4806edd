/* homes.c - see homes.h. */
#include "homes.h"

static int64_t day_number(int year, int month, int day)
{
    /* Days from 1970-01-01 in the Gregorian calendar; March-based years. */
    int64_t y = year - (month <= 2);
    int64_t era = y / 400;
    int64_t of_era = y - era * 400;
    int64_t of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

int homes_read(FILE *file, Home *homes)
{
    int count = 0;
    char line[256];
    while (fgets(line, sizeof line, file)) {
        char name[16];
        int year;
        int month;
        int day;
        double litres;
        if (sscanf(line, "%15[^,],%d-%d-%d,%lf", name, &year, &month, &day, &litres) != 5)
            continue;
        int64_t number = day_number(year, month, day);
        if (count == 0 || strcmp(homes[count - 1].name, name) != 0) {
            if (count == HOMES_MAX)
                break;
            Home *home = &homes[count++];
            memcpy(home->name, name, sizeof name);
            home->first = number;
            for (int i = 0; i < DAYS_MAX; i++)
                home->litres[i] = NAN;
        }
        Home *home = &homes[count - 1];
        int64_t at = number - home->first;
        if (at >= 0 && at < DAYS_MAX) {
            home->litres[at] = litres / 100.0;
            home->days = (int)at + 1;
        }
    }
    return count;
}

double home_total(const Home *home, int at, int days)
{
    double sum = 0.0;
    if (at + days >= home->days)
        return NAN;
    for (int i = 1; i <= days; i++)
        sum += home->litres[at + i];
    return sum;
}

void cover_add(Cover *cover, const ForecastRate *rate, double total, double days)
{
    const double low = forecast_quantile(rate, days, 0.1),
                 high = forecast_quantile(rate, days, 0.9);
    cover->origins++;
    cover->below += total < low;
    cover->above += total > high;
    cover->inside += total >= low && total <= high;
}

void cover_print(const char *what, const Cover *cover)
{
    if (cover->origins > 0)
        (void)printf("  %-46s covers %.4f (below %.4f, above %.4f), %d origins\n", what,
                     (double)cover->inside / cover->origins, (double)cover->below / cover->origins,
                     (double)cover->above / cover->origins, cover->origins);
}

bool goal(const char *what, bool met)
{
    (void)printf("  %-58s %s\n", what, met ? "met" : "MISSED");
    return met;
}

bool cover_goal(const Cover *cover)
{
    if (cover->origins == 0)
        return true;
    const double covers = (double)cover->inside / cover->origins;
    return goal("  covers 0.77 to 0.83", covers >= 0.77 && covers <= 0.83);
}
