/* sim_rover.c: see sim_rover.h. */
#include "sim_rover.h"

enum machine {
    ANTENNA_FORWARD_UM = 100000,
    TURN_STEP_CDEG_S = 20        /* change of the rate of turn in a millisecond: 200 degrees/s^2 */
};

/* Sine of an angle (2^32 a turn) in Q30, within 1e-5. In quarters x of a turn,
 * sin(x pi/2) = x (c0 + c1 x^2 + c2 x^4 + c3 x^6 + c4 x^8), the Taylor series;
 * what follows is at most (pi/2)^11 / 11! = 3.6e-6 of 1. */
static int32_t sine_q30(uint32_t angle)
{
    static const int32_t c[5] = { 1686629713, -693598668, 85569306, -5026995, 172272 };
    const uint32_t quarter = angle >> 30;
    uint32_t part = angle & 0x3FFFFFFFu;
    int64_t square;
    int64_t sum;

    if ((quarter & 1u) != 0u) {
        part = 0x40000000u - part;
    }
    square = ((int64_t)part * part) >> 30;
    sum = c[4];
    sum = c[3] + ((sum * square) >> 30);
    sum = c[2] + ((sum * square) >> 30);
    sum = c[1] + ((sum * square) >> 30);
    sum = c[0] + ((sum * square) >> 30);
    sum = (sum * (int64_t)part) >> 30;
    return (int32_t)((quarter >= 2u) ? -sum : sum);
}

static int32_t cosine_q30(uint32_t angle)
{
    return sine_q30(angle + 0x40000000u);
}

/* A number moved towards another by at most a step. */
static int32_t towards(int32_t from, int32_t to, int32_t step)
{
    int32_t moved = to;

    if (to > (from + step)) {
        moved = from + step;
    } else if (to < (from - step)) {
        moved = from - step;
    } else {
        /* it is reached */
    }
    return moved;
}

/* How much the rover slows down in a millisecond without power, in um/s. The ground
 * is a plane, so that its slope goes by the heading alone: that of the leg whose
 * direction is nearest, which is the one with the greatest cosine between them. From
 * d = v^2 / 2a the deceleration is v^2 / 2d. */
static int32_t deceleration_um_s(const sim_rover_t *rover, int32_t sine, int32_t cosine)
{
    const mere_mission_t *mission = rover->mission;
    const mere_leg_t *nearest = &mission->legs[0];
    int64_t greatest = INT64_MIN;
    uint64_t deceleration = 1000000u; /* no coast: at rest in a moment */
    uint64_t coast_mm;
    uint32_t i;

    for (i = 0u; i < mission->leg_count; i++) {
        const mere_leg_t *leg = &mission->legs[i];
        const int64_t along = ((int64_t)leg->unit_east_q30 * sine) + ((int64_t)leg->unit_north_q30 * cosine);

        if (along > greatest) {
            greatest = along;
            nearest = leg;
        }
    }
    coast_mm = (uint64_t)nearest->coast * mission->rover.coast_unit_mm;
    if (coast_mm > 0u) {
        deceleration = ((uint64_t)nearest->speed_mm_s * nearest->speed_mm_s) / (2u * coast_mm);
    }
    return (int32_t)((deceleration > 1000000u) ? 1000000u : deceleration);
}

void sim_rover_start(sim_rover_t *rover, const mere_mission_t *mission)
{
    const mere_leg_t *leg = &mission->legs[0];

    rover->mission = mission;
    rover->heading = (uint32_t)(((uint64_t)mere_bearing(leg->unit_east_q30, leg->unit_north_q30) << 32) / 36000u);
    rover->east_nm = ((int64_t)leg->east_mm * 1000000)
                     - (((int64_t)ANTENNA_FORWARD_UM * 1000 * sine_q30(rover->heading)) >> 30);
    rover->north_nm = ((int64_t)leg->north_mm * 1000000)
                      - (((int64_t)ANTENNA_FORWARD_UM * 1000 * cosine_q30(rover->heading)) >> 30);
    rover->delay_ms = mission->rover.output_delay_ms;
    if (rover->delay_ms >= (uint32_t)SIM_LONGEST_DELAY_MS) {
        rover->delay_ms = (uint32_t)SIM_LONGEST_DELAY_MS - 1u;
    }
    rover->noise = 2463534242u;
}

void sim_rover_run(sim_rover_t *rover)
{
    sim_command_t now;
    int32_t wanted_um_s = 0;
    int32_t wanted_cdeg_s = 0;
    int32_t sine;
    int32_t cosine;

    rover->waiting[(rover->next + rover->delay_ms) % (uint32_t)SIM_LONGEST_DELAY_MS] = rover->asked;
    now = rover->waiting[rover->next];
    rover->next = (rover->next + 1u) % (uint32_t)SIM_LONGEST_DELAY_MS;

    if (now.power) {
        wanted_um_s = (int32_t)now.speed_mm_s * (rover->reversed ? -1000 : 1000);
        wanted_cdeg_s = rover->steering_stuck ? rover->stuck_cdeg_s : now.turn_cdeg_s;
    }
    sine = sine_q30(rover->heading);
    cosine = cosine_q30(rover->heading);
    rover->speed_um_s = towards(rover->speed_um_s, wanted_um_s, deceleration_um_s(rover, sine, cosine));
    rover->turn_cdeg_s = towards(rover->turn_cdeg_s, wanted_cdeg_s, TURN_STEP_CDEG_S);

    if (!rover->slipping) {
        /* 2^32 / 36000 / 1000 = 119.305 for a hundredth of a degree a second in a ms */
        const int64_t turned = ((int64_t)rover->turn_cdeg_s * 119305) / 1000;

        rover->east_nm += ((int64_t)rover->speed_um_s * sine) >> 30;
        rover->north_nm += ((int64_t)rover->speed_um_s * cosine) >> 30;
        rover->heading += (uint32_t)turned;
    }
    if (rover->push_ms > 0u) {
        rover->push_ms--;
        rover->east_nm += rover->push_east_nm;
        rover->north_nm += rover->push_north_nm;
    }
}

void sim_rover_push(sim_rover_t *rover, int32_t east_mm, int32_t north_mm, uint32_t time_ms)
{
    if (time_ms > 0u) {
        rover->push_east_nm = (int32_t)(((int64_t)east_mm * 1000000) / (int64_t)time_ms);
        rover->push_north_nm = (int32_t)(((int64_t)north_mm * 1000000) / (int64_t)time_ms);
        rover->push_ms = time_ms;
    }
}

mere_point_t sim_rover_antenna(const sim_rover_t *rover)
{
    const int64_t ahead_nm = (int64_t)ANTENNA_FORWARD_UM * 1000;
    mere_point_t at;

    at.east_mm = (int32_t)((rover->east_nm + ((ahead_nm * sine_q30(rover->heading)) >> 30) + 500000) / 1000000);
    at.north_mm = (int32_t)((rover->north_nm + ((ahead_nm * cosine_q30(rover->heading)) >> 30) + 500000) / 1000000);
    return at;
}

int32_t sim_rover_speed_mm_s(const sim_rover_t *rover)
{
    return rover->slipping ? 0 : (rover->speed_um_s / 1000);
}

uint32_t sim_rover_heading_cdeg(const sim_rover_t *rover)
{
    return (uint32_t)(((uint64_t)rover->heading * 36000u) >> 32);
}

/* One throw: Marsaglia, Xorshift RNGs, Journal of Statistical Software 8(14),
 * 2003, with the shifts 13, 17, 5. */
static uint32_t throw_once(uint32_t *state)
{
    uint32_t x = *state;

    x ^= x << 13;
    x ^= x >> 17;
    x ^= x << 5;
    *state = x;
    return x;
}

int32_t sim_noise(uint32_t *state, int32_t range)
{
    int64_t sum = 0;
    uint32_t i;

    for (i = 0u; i < 4u; i++) {
        sum += (int64_t)(throw_once(state) >> 8) - 8388608;
    }
    return (int32_t)((sum * range) / (4 * (int64_t)8388608));
}
