#include "support/golden.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void golden_text(const char *name, const Str *text)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s.txt", GOLDEN, name);
    golden_file(path, text);
}

void golden_file(const char *path, const Str *text)
{
    const char *mode = getenv("ULLAGE_GOLDEN");
    if (mode && strcmp(mode, "write") == 0) {
        FILE *file = fopen(path, "w");
        assert_non_null(file);
        fwrite(text->s, 1, text->n, file);
        fclose(file);
        return;
    }
    FILE *file = fopen(path, "r");
    if (!file)
        fail_msg("no golden file %s: run with ULLAGE_GOLDEN=write and look at what it wrote", path);
    Str golden = {0};
    char part[4096];
    size_t n;
    while ((n = fread(part, 1, sizeof part, file)) > 0)
        str_add(&golden, text_slice(part, n));
    fclose(file);
    bool same = golden.n == text->n && (text->n == 0 || memcmp(golden.s, text->s, text->n) == 0);
    if (!same)
        printf("%s\n--- golden\n%s--- now\n%s", path, golden.s ? golden.s : "", text->s);
    str_finish(&golden);
    assert_true(same);
}
