/*
 * Start-up code and semihosting for the emulated 32-bit Cortex-M3 board that
 * qemu-system-arm calls mps2-an385. The whole program is loaded to address 0,
 * which is RAM on that board.
 */
#include "board.h"

extern uint32_t stack_top;
extern uint32_t bss_begin;
extern uint32_t bss_end;

void reset(void);

/* The first two words of the vector table are all that is used: no interrupts. */
__attribute__((section(".vectors"), used)) static const void *const vectors[] = { &stack_top, (const void *)reset };

static uint32_t semihosting(uint32_t operation, const void *argument)
{
    register uint32_t r0 __asm__("r0") = operation;
    register const void *r1 __asm__("r1") = argument;
    __asm__ volatile("bkpt 0xAB" : "+r"(r0) : "r"(r1) : "memory");
    return r0;
}

void board_print(const char *text)
{
    (void)semihosting(0x04u, text); /* SYS_WRITE0 */
}

void board_exit(int status)
{
    const uint32_t block[2] = { 0x20026u, (uint32_t)status }; /* ADP_Stopped_ApplicationExit */
    (void)semihosting(0x20u, block);                          /* SYS_EXIT_EXTENDED */
    for (;;) {
    }
}

void reset(void)
{
    uint32_t *word;

    for (word = &bss_begin; word < &bss_end; word++) {
        *word = 0u;
    }
    board_exit(main());
}
