#include "store/void_graph.h"

#include <stdlib.h>

static int by_id(const void *a, const void *b)
{
    return uuid_compare(&((const VoidNode *)a)->id, &((const VoidNode *)b)->id);
}

static VoidNode *node_of(const VoidNode *nodes, size_t count, const Uuid *id)
{
    VoidNode key = {.id = *id};
    return count == 0 ? NULL : bsearch(&key, nodes, count, sizeof *nodes, by_id);
}

/* A void that nothing names acts. What it names, if a void, is struck, and so no longer counts
 * against what that names in turn. What is never reached is in a ring, or behind one: undecided, so
 * it does nothing. */
static void follow(VoidNode *nodes, size_t count, int32_t first)
{
    while (first >= 0) {
        VoidNode *acting = &nodes[first];
        first = acting->next;
        acting->fate = VOID_ACTS;
        VoidNode *struck = node_of(nodes, count, &acting->target);
        if (struck == NULL || struck->fate != VOID_UNDECIDED)
            continue;
        struck->fate = VOID_STRUCK;
        VoidNode *freed = node_of(nodes, count, &struck->target);
        if (freed != NULL && --freed->pending == 0 && freed->fate == VOID_UNDECIDED) {
            freed->next = first;
            first = (int32_t)(freed - nodes);
        }
    }
}

bool void_graph_solve(VoidNode *nodes, size_t count)
{
    if (count == 0)
        return true;
    qsort(nodes, count, sizeof *nodes, by_id);
    for (size_t i = 0; i < count; i++) {
        if (i > 0 && by_id(&nodes[i - 1], &nodes[i]) == 0)
            return false;
        nodes[i].pending = 0;
        nodes[i].fate = VOID_UNDECIDED;
    }
    for (size_t i = 0; i < count; i++) {
        VoidNode *target = node_of(nodes, count, &nodes[i].target);
        if (target != NULL)
            target->pending++;
    }
    int32_t first = -1;
    for (size_t i = 0; i < count; i++) {
        if (nodes[i].pending == 0) {
            nodes[i].next = first;
            first = (int32_t)i;
        }
    }
    follow(nodes, count, first);
    return true;
}

VoidFate void_graph_fate(const VoidNode *nodes, size_t count, const Uuid *id)
{
    const VoidNode *node = node_of(nodes, count, id);
    return node == NULL ? VOID_UNDECIDED : (VoidFate)node->fate;
}
