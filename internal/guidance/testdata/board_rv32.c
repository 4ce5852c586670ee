/*
 * Start-up code for a 32-bit RISC-V, the machine that qemu-system-riscv32 calls
 * virt: a serial port to print to, and a test device that ends the emulation.
 */
#include "board.h"

extern uint32_t bss_begin;
extern uint32_t bss_end;

void enter(void);
void *memset(void *to, int value, unsigned long count);
void *memcpy(void *to, const void *from, unsigned long count);

/* The compiler may call these two for initialisers; there is no C library to have
 * them from. Through volatile, or it would see what they are and call them. */
void *memset(void *to, int value, unsigned long count)
{
    volatile unsigned char *byte = (volatile unsigned char *)to;

    while (count-- > 0u) {
        *byte++ = (unsigned char)value;
    }
    return to;
}

void *memcpy(void *to, const void *from, unsigned long count)
{
    volatile unsigned char *byte = (volatile unsigned char *)to;
    const unsigned char *source = (const unsigned char *)from;

    while (count-- > 0u) {
        *byte++ = *source++;
    }
    return to;
}

void board_print(const char *text)
{
    volatile uint8_t *const serial = (volatile uint8_t *)0x10000000u;

    for (; *text != '\0'; text++) {
        *serial = (uint8_t)*text;
    }
}

void board_exit(int status)
{
    volatile uint32_t *const test_device = (volatile uint32_t *)0x00100000u;

    *test_device = (status == 0) ? 0x5555u : ((((uint32_t)status) << 16) | 0x3333u);
    for (;;) {
    }
}

void enter(void)
{
    uint32_t *word;

    for (word = &bss_begin; word < &bss_end; word++) {
        *word = 0u;
    }
    board_exit(main());
}

__asm__(".section .enter, \"ax\"\n.globl _start\n_start:\n  la sp, stack_top\n  j enter\n");
