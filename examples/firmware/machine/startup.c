/*
 * startup.c: what runs before main on the emulated 32-bit Cortex-M3 board: the
 * vector table and the setting up of memory. Your board's maker supplies one for
 * your board; leave this one out then.
 *
 * After reset the processor takes the stack's top from the first word of the
 * table and begins at the address in the second.
 */
#include <stdint.h>

#include "semihost.h"
#include "startup.h"

/* Places that the linker script gives. */
extern uint32_t image_data_load[];
extern uint32_t image_data_begin[];
extern uint32_t image_data_end[];
extern uint32_t image_bss_begin[];
extern uint32_t image_bss_end[];
extern uint32_t image_stack_top[];

int main(void);
void startup_reset(void);
void startup_fault(void);

typedef struct {
    uint32_t *stack_top;
    void (*handlers[15])(void);
} vectors_t;

extern const vectors_t startup_vectors;

/* The exceptions of the processor itself; no interrupts are used here. */
__attribute__((section(".vectors"), used)) const vectors_t startup_vectors = {
    image_stack_top,
    { startup_reset, startup_fault, startup_fault, startup_fault, startup_fault, startup_fault, 0, 0, 0, 0, startup_fault,
      startup_fault, 0, startup_fault, startup_fault }
};

void startup_reset(void)
{
    const uint32_t *from = image_data_load;
    uint32_t *to = image_data_begin;

    while (to != image_data_end) {
        *to = *from;
        to++;
        from++;
    }
    to = image_bss_begin;
    while (to != image_bss_end) {
        *to = 0u;
        to++;
    }
    (void)main();
    startup_fault();
}

void startup_again(void)
{
    __asm__ volatile("msr msp, %0\n\tbx %1" : : "r"(image_stack_top), "r"(&startup_reset) : "memory");
    for (;;) {
        /* the program has begun anew */
    }
}

/* On a real board: take the drive's power at the register, then let the watchdog
 * reset the processor. */
void startup_fault(void)
{
    semihost_exit(false);
}
