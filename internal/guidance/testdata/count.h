/*
 * Counts instructions on the emulated Cortex-M3. Under -icount shift=8 each
 * instruction takes 256 ns of virtual time, and SysTick counts 40 ns: so the ticks
 * between two readings, times 40 / 256, are the instructions between them, less
 * those of reading the counter itself, which are measured first.
 */
#ifndef COUNT_H
#define COUNT_H

static volatile uint32_t *const systick_control = (volatile uint32_t *)0xE000E010u;
static volatile uint32_t *const systick_reload = (volatile uint32_t *)0xE000E014u;
static volatile uint32_t *const systick_current = (volatile uint32_t *)0xE000E018u;

static uint32_t overhead;
static uint32_t began;
static uint32_t taken;

/* Between the two nothing is to be but what is measured: stores stay outside, and what
 * is measured gets its arguments from functions that are not inlined. */
#define BARRIER() __asm__ volatile("" : : : "memory")
#define BEGIN() do { BARRIER(); began = *systick_current; BARRIER(); } while (false)
#define END() do { BARRIER(); taken = instructions_since(); } while (false)

/* Not inlined, so that reading costs the same everywhere. */
__attribute__((noinline)) static uint32_t instructions_since(void)
{
    const uint32_t ended = *systick_current;
    const uint32_t ticks = (began - ended) & 0xFFFFFFu;

    return (((ticks * 40u) + 128u) / 256u) - overhead;
}

typedef struct {
    uint32_t worst;
    uint32_t runs;
    uint32_t sum;
} tally_t;

static void count(tally_t *tally)
{
    if (taken > tally->worst) {
        tally->worst = taken;
    }
    tally->sum += taken;
    tally->runs++;
}

static void report(const char *what, const tally_t *tally)
{
    board_print(what);
    board_print(" ");
    board_print_decimal(tally->worst);
    board_print(" ");
    board_print_decimal(tally->sum / tally->runs);
    board_print(" ");
    board_print_decimal(tally->runs);
    board_print("\n");
}

static void count_begin(void)
{
    *systick_reload = 0xFFFFFFu;
    *systick_current = 0u;
    *systick_control = 5u; /* on, from the processor's clock */
    while (*systick_current == 0u) {
    }
    BEGIN();
    END();
    overhead = taken;
}

/* What is measured are functions as calls of their own, so that the compiler moves
 * nothing out of them; the call and the return count too. */
#define MEASURED __attribute__((noinline, noclone)) static

/* Read at run time, so that no function is compiled for this mission alone. */
static const mere_mission_t *volatile const board_mission = &MISSION;

#endif
