/*
 * Runs test vectors on the host. "host FIRST COUNT" prints the digest of each of
 * COUNT blocks from FIRST on; "host trace BLOCK" prints every number of a block.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "mission.h"

static int tracing;

static void trace(const char *text, long long value)
{
    if (tracing) {
        (void)printf("%s=%lld ", text, value);
    }
}

static void trace_end(void)
{
    if (tracing) {
        (void)putchar('\n');
    }
}

#include "vectors.h"

int main(int argc, char **argv)
{
    if ((argc == 3) && (strcmp(argv[1], "trace") == 0)) {
        tracing = 1;
        (void)vectors_block((uint32_t)strtoul(argv[2], NULL, 10));
        return 0;
    }
    if (argc == 3) {
        const uint32_t first = (uint32_t)strtoul(argv[1], NULL, 10);
        const uint32_t count = (uint32_t)strtoul(argv[2], NULL, 10);
        uint32_t i;

        for (i = 0u; i < count; i++) {
            (void)printf("%016llx\n", (unsigned long long)vectors_block(first + i));
        }
        return 0;
    }
    return 2;
}
