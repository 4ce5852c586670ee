/*
 * startup.h: beginning again without the power having been off. Leave it out on your
 * machine, where reset and power do that.
 */
#ifndef STARTUP_H
#define STARTUP_H

/* Begins the program anew, as a reset does: all variables are as at first, but for
 * those of the section ".noinit". Does not return. */
void startup_again(void);

#endif /* STARTUP_H */
