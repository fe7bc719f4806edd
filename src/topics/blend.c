/* blend.c - topics of waters put together: residual (topping up, or too much), blend, membrane,
 * purge. */
#include "reckon/blend.h"
#include "model/results.h"
#include "reckon/bleach.h"
#include "topics/reckoner_private.h"

#define MG_L(name_, option_, help_, usual_)                                                        \
    {                                                                                              \
        .option = (option_), .param = (name_), .quantity = QUANTITY_NUMBER, .unit = "mg/L",        \
        .help = (help_), .usual = (usual_)                                                         \
    }

static bool within(Reckoning *out, const char *name, double value, double low, double high)
{
    Basis basis = basis_begin(NULL, NULL, NULL);
    (void)basis_within(&basis, name, value, low, high);
    return take(out, &basis);
}

/* ---- residual ---- */

enum {
    RESIDUAL_VOLUME,
    RESIDUAL_MEASURED,
    RESIDUAL_WANTED,
    RESIDUAL_DOSED,
    RESIDUAL_AFTER,
    RESIDUAL_STRENGTH,
    RESIDUAL_AGE,
    RESIDUAL_STORED
};
static const ReckonField residual_fields[] = {
    [RESIDUAL_VOLUME] = {.option = "volume",
                         .param = "volume_l a_l",
                         .quantity = QUANTITY_VOLUME,
                         .help = "water that was tested",
                         .usual = 10.0},
    [RESIDUAL_MEASURED] = MG_L("measured", "measured", "free chlorine in it now", 0.1),
    [RESIDUAL_WANTED] =
        MG_L("wanted target_mg_l", "wanted", "free chlorine that is wanted; 0.5 after 30 min", 0.5),
    [RESIDUAL_DOSED] = MG_L("dosed", "dosed", "chlorine that was put into such water before", NAN),
    [RESIDUAL_AFTER] = MG_L("after", "after", "and what it then measured, after 30 min", NAN),
    [RESIDUAL_STRENGTH] = {.option = "strength",
                           .param = "percent",
                           .quantity = QUANTITY_NUMBER,
                           .unit = "%",
                           .help = "of the bleach when new, as its label says",
                           .usual = 5.0},
    [RESIDUAL_AGE] = {.option = "age",
                      .param = "age_months age_at_21_c",
                      .quantity = QUANTITY_NUMBER,
                      .unit = "months",
                      .help = "since the bleach was made",
                      .usual = 3.0},
    [RESIDUAL_STORED] = {.option = "stored",
                         .param = "storage_c",
                         .quantity = QUANTITY_TEMPERATURE,
                         .help = "temperature at which the bleach was kept",
                         .usual = 21.0},
};

static void residual_propose(const ReckonSite *site, ReckonInput in[])
{
    const Vessel *v = site_vessel(site);
    propose_contents(&in[RESIDUAL_VOLUME], site);
    if (v == NULL || v->results.latest[RESULT_CHLORINE].at == 0 || (v->tested & TESTED_VESSEL) == 0)
        return;
    propose_value(&in[RESIDUAL_MEASURED], (double)v->results.latest[RESULT_CHLORINE].value / 1000,
                  "tested in %s", v->label.s);
}

/* More of it: the gap, and what such water took up before. */
static void residual_up(const double v[], Reckoning *out)
{
    double add = v[RESIDUAL_WANTED] - v[RESIDUAL_MEASURED];
    if (!isnan(v[RESIDUAL_DOSED]) && !isnan(v[RESIDUAL_AFTER])) {
        const double demand = fmax(v[RESIDUAL_DOSED] - v[RESIDUAL_AFTER], 0);
        line_note(
            line_number(out, MARK_PLAIN, "such water takes up", QUANTITY_NUMBER, "mg/L", demand),
            "the first time; once chlorinated it takes up little more");
    }
    const BleachDose dose = bleach_dose(v[RESIDUAL_VOLUME], fmax(add, 0.1), v[RESIDUAL_STRENGTH],
                                        v[RESIDUAL_AGE], v[RESIDUAL_STORED]);
    if (!take(out, &dose.basis))
        return;
    line_number(out, MARK_PLAIN, "add", QUANTITY_NUMBER, "mg/L", fmax(add, 0.1));
    line_note(line_number(out, MARK_CAUTION, "of bleach", QUANTITY_DOSE, NULL, dose.ml),
              "test after 30 minutes, and add as much again only if it is still low");
    if (v[RESIDUAL_MEASURED] < 0.05)
        line_words(out, MARK_CAUTION, "none was left",
                   "something took it up: if the water is cloudy or of unknown source, treat it as "
                   "new water (ullage reckon chlorine)");
}

/* Less of it: clean water, ascorbic acid, or time. */
static void residual_down(const double v[], Reckoning *out)
{
    const double too_much = v[RESIDUAL_MEASURED] - v[RESIDUAL_WANTED];
    const BlendAdd add = blend_add(v[RESIDUAL_VOLUME], v[RESIDUAL_MEASURED], 0, v[RESIDUAL_WANTED]);
    if (take(out, &add.basis))
        line_note(line_number(out, MARK_PLAIN, "dilute with", QUANTITY_VOLUME, NULL, add.b_l),
                  "of potable water without chlorine; it measures that or less");
    line_note(line_number(out, MARK_PLAIN, "or ascorbic acid", QUANTITY_NUMBER, "mg",
                          ceil(too_much * v[RESIDUAL_VOLUME] * BLEND_ASCORBIC_MG - 1e-9)),
              "at the most: what is neutralised protects no longer, so test, and drink it soon");
    if (v[RESIDUAL_WANTED] >= v[RESIDUAL_MEASURED] * (1 - BLEND_STANDING_DAY))
        line_words(out, MARK_PLAIN, "or let it stand",
                   "open for a day: tests lost 51 to 62 %%; it may go further, so test again");
    else
        line_words(out, MARK_PLAIN, "or let it stand",
                   "longer than a day: a day lost 51 to 62 %% in tests; test again");
}

static void residual_compute(const double v[], Reckoning *out)
{
    add_source(out, "demand = dose - residual (a wastewater operators' text, example 9.1); AWWA "
                    "field guide, table 7-2; Toxin Reviews 40(4):1407 (2021)");
    add_limit(out, "water that is warm, dirty or of another source takes up more than is reckoned");
    add_caution(out,
                "a residual is what a kit reads after 30 minutes; a class is not raised by it");
    if (!within(out, "measured", v[RESIDUAL_MEASURED], 0, 200) ||
        !within(out, "wanted", v[RESIDUAL_WANTED], 0.05, 200) ||
        !within(out, "volume_l", v[RESIDUAL_VOLUME], 0.05, 10000) ||
        (!isnan(v[RESIDUAL_DOSED]) && !within(out, "dosed", v[RESIDUAL_DOSED], 0, 1000)) ||
        (!isnan(v[RESIDUAL_AFTER]) && !within(out, "after", v[RESIDUAL_AFTER], 0, 1000)) ||
        !within(out, "percent", v[RESIDUAL_STRENGTH], 0.5, 15) ||
        !within(out, "age_months", v[RESIDUAL_AGE], 0, 12) ||
        !within(out, "storage_c", v[RESIDUAL_STORED], -10, 50))
        return;
    if (v[RESIDUAL_WANTED] > BLEACH_GUIDELINE_MG_L)
        line_words(out, MARK_CAUTION, "wanted",
                   "above the 5 mg/L that the WHO lets drinking water "
                   "have: not for drinking");
    else if (v[RESIDUAL_WANTED] < (double)RESIDUAL_LEAST / 1000)
        line_words(out, MARK_CAUTION, "wanted", "under 0.2 mg/L nothing protects stored water");
    if (v[RESIDUAL_MEASURED] > v[RESIDUAL_WANTED])
        residual_down(v, out);
    else if (v[RESIDUAL_MEASURED] < v[RESIDUAL_WANTED])
        residual_up(v, out);
    else
        line_words(out, MARK_PLAIN, "add", "nothing: it measures what is wanted");
}

const Topic topic_residual = {
    .name = "residual",
    .gist = "how much bleach tops a measured residual up, or how to take some away",
    .about = ABOUT_FULLEST,
    .example = "--volume 20 --measured 0.1 --wanted 1 --strength 5 --age 0",
    RECKON_FIELDS(residual_fields),
    residual_propose,
    residual_compute};

/* ---- blend ---- */

enum { BLEND_A_L, BLEND_A, BLEND_B_L, BLEND_B, BLEND_WANTED };
static const ReckonField blend_fields[] = {
    [BLEND_A_L] = {.option = "volume",
                   .param = "a_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "of the first water",
                   .usual = 10.0},
    [BLEND_A] = MG_L("a", "holds", "TDS or hardness of the first", 800.0),
    [BLEND_B_L] = {.option = "with",
                   .param = "b_l",
                   .quantity = QUANTITY_VOLUME,
                   .help = "of the second water",
                   .usual = 10.0},
    [BLEND_B] = MG_L("b", "other", "of the second", 50.0),
    [BLEND_WANTED] = MG_L("wanted", "wanted", "what the mixture is to have", NAN),
};

static void blend_propose(const ReckonSite *site, ReckonInput in[])
{
    const Vessel *v = site_vessel(site);
    propose_contents(&in[BLEND_A_L], site);
    if (v != NULL && v->results.latest[RESULT_TDS].at != 0)
        propose_value(&in[BLEND_A], (double)v->results.latest[RESULT_TDS].value / 1000,
                      "TDS tested in %s", v->label.s);
}

static void blend_compute(const double v[], Reckoning *out)
{
    const BlendMix mix = blend_mix(v[BLEND_A_L], v[BLEND_A], v[BLEND_B_L], v[BLEND_B]);
    if (!take(out, &mix.basis))
        return;
    line_number(out, MARK_PLAIN, "the mixture has", QUANTITY_NUMBER, "mg/L", mix.value);
    line_words(out, MARK_PLAIN, "for taste",
               "TDS under 300 excellent, to 600 good, above 1200 unacceptable (WHO, 1996); 500 (40 "
               "CFR 143.3)");
    line_words(out, MARK_PLAIN, "for scale",
               "hardness to 60 soft, to 120 moderate, to 180 hard (USGS); other scales differ");
    if (isnan(v[BLEND_WANTED]))
        return;
    const BlendAdd add = blend_add(v[BLEND_A_L], v[BLEND_A], v[BLEND_B], v[BLEND_WANTED]);
    if (take(out, &add.basis))
        line_number(out, MARK_PLAIN, "for what is wanted", QUANTITY_VOLUME, NULL, add.b_l);
}

const Topic topic_blend = {.name = "blend",
                           .gist = "two waters mixed: dissolved solids or hardness",
                           .about = ABOUT_FULLEST,
                           .example = "--volume 10 --holds 800 --other 50 --wanted 400",
                           RECKON_FIELDS(blend_fields),
                           blend_propose,
                           blend_compute};

/* ---- membrane ---- */

enum { MEMBRANE_FEED_L, MEMBRANE_PRODUCT_L, MEMBRANE_FEED, MEMBRANE_PRODUCT };
static const ReckonField membrane_fields[] = {
    [MEMBRANE_FEED_L] = {.option = "fed",
                         .param = "feed_l",
                         .quantity = QUANTITY_VOLUME,
                         .help = "of water put in",
                         .usual = 10.0},
    [MEMBRANE_PRODUCT_L] = {.option = "made",
                            .param = "product_l",
                            .quantity = QUANTITY_VOLUME,
                            .help = "of water that came through",
                            .usual = 2.5},
    [MEMBRANE_FEED] = MG_L("feed", "feed-tds", "dissolved solids of what was put in", 500.0),
    [MEMBRANE_PRODUCT] =
        MG_L("product", "product-tds", "dissolved solids of what came through", 25.0),
};

static void membrane_compute(const double v[], Reckoning *out)
{
    const BlendMembrane m = blend_membrane(v[MEMBRANE_FEED_L], v[MEMBRANE_PRODUCT_L],
                                           v[MEMBRANE_FEED], v[MEMBRANE_PRODUCT]);
    if (!take(out, &m.basis))
        return;
    line_number(out, MARK_PLAIN, "recovery", QUANTITY_NUMBER, "%", m.recovery * 100);
    line_note(line_number(out, MARK_PLAIN, "rejection", QUANTITY_NUMBER, "%", m.rejection * 100),
              "where it falls from week to week the membrane or a seal leaks");
    line_number(out, MARK_PLAIN, "waste", QUANTITY_VOLUME, NULL, m.waste_l);
    line_number(out, MARK_PLAIN, "which holds", QUANTITY_NUMBER, "mg/L", m.waste);
}

const Topic topic_membrane = {.name = "membrane",
                              .gist =
                                  "recovery and rejection of a membrane, and what its waste holds",
                              .about = ABOUT_NOTHING,
                              .example = "--fed 10 --made 2.5 --feed-tds 500 --product-tds 25",
                              RECKON_FIELDS(membrane_fields),
                              NULL,
                              membrane_compute};

/* ---- purge ---- */

enum { PURGE_LENGTH, PURGE_BORE, PURGE_TIMES, PURGE_ROOF, PURGE_FLOW };
static const ReckonField purge_fields[] = {
    [PURGE_LENGTH] = {.option = "length",
                      .param = "length_m",
                      .quantity = QUANTITY_LENGTH,
                      .help = "of the hose",
                      .usual = 10.0},
    [PURGE_BORE] = {.option = "bore",
                    .param = "bore_m",
                    .quantity = QUANTITY_BORE,
                    .scale = 0.001,
                    .help = "of the hose",
                    .usual = 12.5},
    [PURGE_TIMES] = {.option = "times",
                     .param = "times",
                     .quantity = QUANTITY_NUMBER,
                     .help = "its contents to be run off",
                     .usual = 3.0},
    [PURGE_ROOF] = {.option = "roof",
                    .param = "roof_m2",
                    .quantity = QUANTITY_NUMBER,
                    .unit = "m2",
                    .help = "that rain is caught from",
                    .usual = NAN},
    [PURGE_FLOW] = {.option = "flow",
                    .param = "flow_l_min",
                    .quantity = QUANTITY_FLOW,
                    .help = "of the tap: tells how long",
                    .usual = NAN},
};

/* The first 2 mm of a rain wash a dry roof (common practice, no source: 0.5 to 2 are in use; the
 * most counts). */
#define FIRST_FLUSH_MM 2.0

static void purge_compute(const double v[], Reckoning *out)
{
    const BlendHose hose = blend_hose(v[PURGE_LENGTH], v[PURGE_BORE] / 1000);
    if (!take(out, &hose.basis) || !within(out, "times", v[PURGE_TIMES], 1, 100) ||
        (!isnan(v[PURGE_ROOF]) && !within(out, "roof_m2", v[PURGE_ROOF], 0.1, 10000)) ||
        (!isnan(v[PURGE_FLOW]) && !within(out, "flow_l_min", v[PURGE_FLOW], 0.1, 1000)))
        return;
    const double litres = hose.litres * v[PURGE_TIMES];
    line_number(out, MARK_PLAIN, "the hose holds", QUANTITY_VOLUME, NULL, hose.litres);
    line_note(line_number(out, MARK_PLAIN, "run off first", QUANTITY_VOLUME, NULL, litres),
              "three times what it holds (common practice, no source), longer where it lay in the "
              "sun or smells");
    if (!isnan(v[PURGE_FLOW])) {
        ReckonLine *line = line_number(out, MARK_PLAIN, "which takes", QUANTITY_SECONDS, NULL,
                                       litres / v[PURGE_FLOW] * 60);
        line->up = true;
    }
    if (!isnan(v[PURGE_ROOF]))
        line_note(line_number(out, MARK_CAUTION, "first flush", QUANTITY_VOLUME, NULL,
                              v[PURGE_ROOF] * FIRST_FLUSH_MM),
                  "of each rain to waste; rain off a roof stays raw water");
}

const Topic topic_purge = {.name = "purge",
                           .gist = "what to run off at a camp tap, and of a rain",
                           .about = ABOUT_NOTHING,
                           .example = "--length 15 --bore 12.5 --flow 10",
                           RECKON_FIELDS(purge_fields),
                           NULL,
                           purge_compute};
