#include "reckon/tables_scald.h"

/* Sources: a children's hospital table; 2nd and 3rd degree after Moritz & Henriques 1947; a
 * university sheet; Burn Foundation; an unnamed table; a table for infants (all reproduced); US
 * Consumer Product Safety Commission document 5098 (from memory). "Less than" and "about" on a
 * sheet are read as the number. */
const ScaldRow SCALD_ROWS[] = {
    {113, 7200, false, "Moritz & Henriques 1947, degree 2"},
    {113, 10800, false, "Moritz & Henriques 1947, degree 3"},
    {116.6, 1200, false, "Moritz & Henriques 1947, degree 2"},
    {116.6, 2700, false, "Moritz & Henriques 1947, degree 3"},
    {118.4, 900, false, "Moritz & Henriques 1947, degree 2"},
    {118.4, 1200, false, "Moritz & Henriques 1947, degree 3"},
    {120, 300, false, "a children's hospital"},
    {120, 480, false, "Moritz & Henriques 1947, degree 2"},
    {120, 600, false, "Moritz & Henriques 1947, degree 3"},
    {120, 600, false, "a university sheet"},
    {124, 120, false, "Moritz & Henriques 1947, degree 2"},
    {124, 252, false, "Moritz & Henriques 1947, degree 3"},
    {125, 90, false, "a children's hospital"},
    {125, 120, false, "a university sheet"},
    {130, 30, false, "a children's hospital"},
    {131, 17, false, "Moritz & Henriques 1947, degree 2"},
    {131, 30, false, "Moritz & Henriques 1947, degree 3"},
    {135, 10, false, "a children's hospital"},
    {140, 5, false, "a children's hospital"},
    {140, 3, false, "Moritz & Henriques 1947, degree 2"},
    {140, 5, false, "Moritz & Henriques 1947, degree 3"},
    {140, 6, false, "a university sheet"},
    {145, 3, false, "a children's hospital"},
    {150, 1.5, false, "a children's hospital"},
    {150, 2, false, "a university sheet"},
    {155, 1, false, "a children's hospital"},
    {120, 300, false, "US CPSC 5098, degree 3 (from memory)"},
    {130, 30, false, "US CPSC 5098, degree 3 (from memory)"},
    {140, 6, false, "US CPSC 5098, degree 3 (from memory)"},
    {150, 2, false, "US CPSC 5098, degree 3 (from memory)"},
    {133, 15, false, "Burn Foundation"},
    {140, 5, false, "Burn Foundation"},
    {149, 2, false, "an unnamed table"},
    {156, 1, false, "an unnamed table"},
    {120, 240, true, "a table for infants"},
    {140, 1, true, "a table for infants"},
    {150, 0.5, true, "a table for infants"},
};
const size_t SCALD_ROW_COUNT = sizeof(SCALD_ROWS) / sizeof(SCALD_ROWS[0]);
