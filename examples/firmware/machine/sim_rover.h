/*
 * sim_rover.h: a simulated rover on two driven wheels, in integers, so that this
 * example runs without a machine. Leave it out on yours.
 *
 * It is built as the mission file describes the rover, on the bad side: commands
 * reach the motors after the whole output delay, and without power it rolls the
 * coast that is to be expected on the slope of the leg, at constant deceleration.
 * Speeds rise at the rate at which they fall. The antenna is 10 cm ahead of the
 * wheels' axle. Noise is from a generator that gives the same numbers on every run.
 */
#ifndef SIM_ROVER_H
#define SIM_ROVER_H

#include <stdbool.h>
#include <stdint.h>

#include "merestone_guidance.h"

enum sim_limit { SIM_LONGEST_DELAY_MS = 1024 };

typedef struct {
    uint16_t speed_mm_s;
    int16_t turn_cdeg_s;
    bool power;
} sim_command_t;

typedef struct {
    /* what is true of it */
    int64_t east_nm;                 /* of the axle's middle, in the mission's frame */
    int64_t north_nm;
    uint32_t heading;                /* 2^32 stands for a turn, clockwise from north */
    int32_t speed_um_s;              /* of the wheels, below 0 backwards */
    int32_t turn_cdeg_s;
    /* what it is told */
    sim_command_t asked;             /* now */
    sim_command_t waiting[SIM_LONGEST_DELAY_MS]; /* on its way to the motors */
    uint32_t next;                   /* place in waiting[] */
    uint32_t delay_ms;
    const mere_mission_t *mission;   /* whose legs say how the ground falls */
    /* what goes wrong */
    bool steering_stuck;
    int32_t stuck_cdeg_s;
    bool reversed;                   /* the motors turn the other way */
    bool slipping;                   /* the wheels turn, the rover stays where it is */
    int32_t push_east_nm;            /* in each millisecond */
    int32_t push_north_nm;
    uint32_t push_ms;                /* still to be pushed */
    uint32_t noise;                  /* state of the generator */
} sim_rover_t;

/* Puts the rover on the start of the first leg, along it and at rest. */
void sim_rover_start(sim_rover_t *rover, const mere_mission_t *mission);

/* Lets a millisecond go by. */
void sim_rover_run(sim_rover_t *rover);

/* Pushes it by so much in so long, whatever its wheels do. */
void sim_rover_push(sim_rover_t *rover, int32_t east_mm, int32_t north_mm, uint32_t time_ms);

/* Where the antenna truly is. */
mere_point_t sim_rover_antenna(const sim_rover_t *rover);

/* How fast it truly moves along its heading, in mm/s. */
int32_t sim_rover_speed_mm_s(const sim_rover_t *rover);

/* Heading in hundredths of a degree, 0 to 35999. */
uint32_t sim_rover_heading_cdeg(const sim_rover_t *rover);

/* Noise from -range to range, by the sum of four throws: standard deviation
 * 0.29 range. */
int32_t sim_noise(uint32_t *state, int32_t range);

#endif /* SIM_ROVER_H */
