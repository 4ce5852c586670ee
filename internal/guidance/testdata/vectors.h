/*
 * Test vectors for the guidance functions, the same in C and Go: each block of
 * vectors is made from its number by a small generator, run, and reduced to a
 * digest. vectors_test.go has the twin of every line here; whoever changes one
 * changes the other. Where two digests differ, trace the block and compare lines.
 *
 * The file that includes this one has included a data header and defines
 *
 *     MISSION          the mission
 *     trace(text, v)   prints one number of a trace, or nothing
 *     trace_end()      ends a line of it
 */
#ifndef GUIDANCE_VECTORS_H
#define GUIDANCE_VECTORS_H

/* What takes a step; a program that measures or watches puts its own in between, and so
 * for what else changes the state of a run. */
#ifndef VECTORS_STEP
#define VECTORS_STEP mere_step
#endif
#ifndef VECTORS_START
#define VECTORS_START mere_start
#define VECTORS_SET_SHIFT mere_set_shift
#define VECTORS_RECALL mere_recall
#endif

enum { BLOCK_VECTORS = 4096, BLOCK_KINDS = 8 };

/* Generator: splitmix64 (Steele, Lea, Flood, Fast splittable pseudorandom number
 * generators, 2014); the constants are from memory, and any would do. */
static uint64_t random_state;

static uint64_t random_next(void)
{
    uint64_t z;
    random_state += 0x9E3779B97F4A7C15u;
    z = random_state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

/* 0 to n - 1, n > 0. */
static uint32_t random_below(uint32_t n)
{
    return (uint32_t)(((random_next() >> 32) * n) >> 32);
}

/* -n to n. */
static int32_t random_within(int32_t n)
{
    return (int32_t)random_below((2u * (uint32_t)n) + 1u) - n;
}

/* Any number of binary digits up to bits (at most 31) is as likely as any other.
 * One random number a statement, here and below: C does not say in which order the
 * operands of an expression are evaluated. */
static int32_t random_sized(uint32_t bits)
{
    const uint32_t shift = 30u - random_below(bits);
    const int32_t value = (int32_t)(random_next() >> 33) >> shift;
    return ((random_next() & 1u) != 0u) ? -value : value;
}

/* 0 to 2^bits - 1 (bits below 64), small ones often. */
static uint64_t random_scaled(uint32_t bits)
{
    const uint32_t shift = random_below(bits);
    return (random_next() >> (64u - bits)) >> shift;
}

static bool random_half(void)
{
    return (random_next() & 1u) != 0u;
}

/* Digest: FNV-1a with 64 bits, a word at a time. */
static uint64_t digest;

static void put(const char *text, int64_t value)
{
    digest = (digest ^ (uint64_t)value) * 0x100000001B3u;
    trace(text, value);
}

static void put_point(mere_point_t at)
{
    put("east", at.east_mm);
    put("north", at.north_mm);
}

/* A point that is interesting to the fence: at or very near to an edge, in the
 * root square or around it, or anywhere. */
static mere_point_t random_place(void)
{
    const mere_fence_t *fence = &MISSION.fence;
    const int32_t side = (int32_t)1 << fence->root_log2;
    const uint32_t choice = random_below(8u);
    mere_point_t at;

    if (choice < 3u) {
        /* Of the entry that closes a ring: from there to the next ring. */
        const mere_edge_t *edge = &fence->edges[random_below(fence->edge_count - 1u)];
        const int64_t along_q16 = (int64_t)random_below(65537u);
        const int32_t near = (choice == 0u) ? 1 : ((choice == 1u) ? 20 : 4000);

        at.east_mm = edge[0].east_mm + (int32_t)(((int64_t)(edge[1].east_mm - edge[0].east_mm) * along_q16) >> 16);
        at.east_mm += random_within(near);
        at.north_mm = edge[0].north_mm + (int32_t)(((int64_t)(edge[1].north_mm - edge[0].north_mm) * along_q16) >> 16);
        at.north_mm += random_within(near);
    } else if (choice == 3u) {
        at.east_mm = random_sized(26u);
        at.north_mm = random_sized(26u);
    } else {
        at.east_mm = fence->west_mm + (int32_t)random_below((uint32_t)side);
        at.east_mm += random_within(side >> 6);
        at.north_mm = fence->south_mm + (int32_t)random_below((uint32_t)side);
        at.north_mm += random_within(side >> 6);
    }
    return at;
}

static void vector_conversion(void)
{
    const mere_conversion_t *c = &MISSION.conversion;
    const uint32_t choice = random_below(8u);
    int64_t latitude = c->south_ndeg + (int64_t)random_below(c->latitude_span_ndeg);
    int64_t longitude = c->west_ndeg + (int64_t)random_below(c->longitude_span_ndeg);
    mere_point_t at = { 0, 0 };

    if (choice == 0u) { /* the rim */
        latitude = c->south_ndeg + (random_half() ? (int64_t)c->latitude_span_ndeg : 0);
        latitude += random_within(1);
    } else if (choice == 1u) {
        longitude = c->west_ndeg + (random_half() ? (int64_t)c->longitude_span_ndeg : 0);
        longitude += random_within(1);
    } else if (choice == 2u) { /* anything that fits the type */
        latitude = (int64_t)random_scaled(63u);
        latitude = random_half() ? latitude : (-latitude - 1);
        longitude = (int64_t)random_scaled(63u);
        longitude = random_half() ? longitude : (-longitude - 1);
    } else if ((choice == 3u) && (longitude >= 0)) { /* the other name of a longitude */
        longitude -= 360000000000;
    } else {
        /* in the domain */
    }
    put("latitude", latitude);
    put("longitude", longitude);
    put("ok", mere_local_from_fix(c, latitude, longitude, &at) ? 1 : 0);
    put_point(at);
}

static void vector_numbers(void)
{
    const int32_t east = random_sized(31u);
    const int32_t north = random_sized(31u);
    const uint32_t a = (uint32_t)random_scaled(28u);
    const uint32_t b = (uint32_t)random_scaled(28u);
    const uint32_t bearing = mere_bearing(east, north);

    put("east", east);
    put("north", north);
    put("bearing", bearing);
    put("turn", mere_turn(bearing, random_below(36000u)));
    put("a", a);
    put("b", b);
    put("ratio", mere_ratio_q15((a < b) ? a : b, (a < b) ? b : a));
    put("length", mere_length(a, b));
}

static void vector_leg(void)
{
    const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];
    const uint32_t choice = random_below(4u);
    mere_point_t at = random_place();
    mere_track_t track;

    if (choice != 0u) { /* around the end */
        const int32_t near = (choice == 1u) ? 300 : 3000;
        at.east_mm = leg[1].east_mm + random_within(near);
        at.north_mm = leg[1].north_mm + random_within(near);
    }
    if ((at.east_mm > MERE_MAX_DOMAIN_MM) || (at.east_mm < -MERE_MAX_DOMAIN_MM)) {
        at.east_mm = 0;
    }
    if ((at.north_mm > MERE_MAX_DOMAIN_MM) || (at.north_mm < -MERE_MAX_DOMAIN_MM)) {
        at.north_mm = 0;
    }
    track = mere_track(leg, at);
    put_point(at);
    put("along", track.along_mm);
    put("cross", track.cross_mm);
    put("to_go", track.to_go_mm);
    put("arrival", (int64_t)mere_arrival(leg, at, track));
    put("steer", mere_steer(leg, track, (uint16_t)(random_below(65535u) + 1u)));
}

static void vector_stopping(void)
{
    const mere_rover_t *rover = &MISSION.rover;
    const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];
    const uint32_t speed = (uint32_t)random_scaled(16u);
    const uint32_t age = random_below((uint32_t)rover->stale_after_ms + 1u);

    put("speed", speed);
    put("age", age);
    put("travel", mere_travel_mm(speed, age));
    put("coast", mere_coast_mm(rover, leg, speed));
    put("bound", mere_coast_bound_mm(rover, leg, speed));
    put("stopping", mere_stopping_mm(rover, leg, speed, age));
    put("cut", mere_cut_mm(rover, leg, speed, age));
}

static void vector_fence(void)
{
    const mere_point_t at = random_place();

    put_point(at);
    put("margin", mere_fence_margin(&MISSION.fence, at));
}

/* A site shift for this mission, and one in 16 of another plan by a single bit. */
static mere_site_shift_t random_shift(int32_t limit, int32_t sine)
{
    mere_site_shift_t shift;
    uint32_t i;

    for (i = 0u; i < 32u; i++) {
        shift.digest[i] = MISSION.record.digest[i];
    }
    shift.day = 20260510u;
    shift.east_mm = random_within(limit);
    shift.north_mm = random_within(limit);
    shift.sine_q30 = sine;
    if (random_below(16u) == 0u) {
        i = random_below(32u);
        shift.digest[i] = (uint8_t)(shift.digest[i] ^ ((uint32_t)1 << random_below(8u)));
    }
    return shift;
}

static void vector_shift(void)
{
    static const mere_state_t none;
    mere_state_t state = none;
    mere_point_t at = random_place();
    const uint16_t leg = (uint16_t)random_below((uint32_t)MISSION.leg_count + 1u);
    const int32_t limit = (MERE_MAX_ROTATION_Q30 + 2) >> random_below(25u);
    const int32_t sine = random_within(limit);
    const mere_site_shift_t shift = random_shift((int32_t)MISSION.rover.max_shift_mm + 2, sine);

    put("start", mere_start(&MISSION, &state, leg) ? 1 : 0);
    put("set", mere_set_shift(&MISSION, &state, &shift) ? 1 : 0);
    if ((at.east_mm > MERE_MAX_DOMAIN_MM) || (at.east_mm < -MERE_MAX_DOMAIN_MM)) {
        at.east_mm = MERE_MAX_DOMAIN_MM;
    }
    if ((at.north_mm > MERE_MAX_DOMAIN_MM) || (at.north_mm < -MERE_MAX_DOMAIN_MM)) {
        at.north_mm = -MERE_MAX_DOMAIN_MM;
    }
    put("cosine", state.shift.cosine_q30);
    put_point(mere_shifted(&state.shift, at));
    put("lap", mere_start(&MISSION, &state, (uint16_t)random_below((uint32_t)MISSION.leg_count + 1u)) ? 1 : 0);
    put("kept", state.shift.cosine_q30);
    if (random_below(4u) == 0u) {
        put("clear", mere_clear_shift(&state) ? 1 : 0);
    }
    put_point(mere_shifted(&state.shift, at));
    put("seal", state.seal);
    put("quality", mere_quality_from_gga((uint8_t)random_below(256u)));
}

/* A rover that is driven by the output, and by chance. Kept in one vector for a
 * sequence of steps. */
typedef struct {
    mere_state_t state;
    mere_input_t input;
    mere_output_t output;
    int32_t east_mm;                 /* where it truly is */
    int32_t north_mm;
    uint32_t fix_due_ms;
    uint32_t outage_ms;              /* for so long there is no good fix ... */
    bool outage_poor;                /* ... but poor ones */
    uint32_t speed_mm_s;             /* as it truly is */
    uint32_t slowing;                /* mm/s^2, without power */
    uint32_t levels;                 /* of the pins, before this step's accidents */
    uint32_t calm;                   /* accidents are one in this many */
} run_t;

static run_t run;

static void put_output(const mere_output_t *o)
{
    put("drive", o->drive_enable ? 1 : 0);
    put("located", o->located ? 1 : 0);
    put("memory_due", o->memory_due ? 1 : 0);
    put("phase", (int64_t)o->phase);
    put("reasons", o->reasons);
    put("stopped_by", o->stopped_by);
    put("events", o->events);
    put_point(o->at);
    put("along", o->track.along_mm);
    put("cross", o->track.cross_mm);
    put("to_go", o->track.to_go_mm);
    put("margin", o->margin_mm);
    put("stopping", o->stopping_mm);
    put("age", o->fix_age_ms);
    put("turn_known", o->turn_known ? 1 : 0);
    put("turn", o->turn_cdeg);
    put("bearing", o->bearing_cdeg);
    put("limit", o->speed_limit_mm_s);
    put("leg", o->leg);
    put("holds", o->holds_run);
    put("untried", o->untried);
}

static void put_state(const mere_state_t *s)
{
    uint32_t i;

    put("seal", s->seal);
    put("told_age", s->told_age_ms);
    put("timer", s->timer_ms);
    put("rolled", s->rolled_um);
    put("foremost", s->foremost_mm);
    put("jumped", s->jumped_ms);
    put("opened", s->opened);
    put("tried", s->tried);
    put("filtering", s->filtering);
    put("parted", s->parted);
    put("look", s->look);
    put("latched", s->latched);
    put("faults", s->faults);
    put("both_stopped", s->both_stopped);
    put("flags", s->flags);
    put("reset_press", s->reset_press_ms);
    put("start_press", s->start_press_ms);
    for (i = 0u; i < MERE_MAX_HOLDS; i++) {
        put("count", s->count_ms[i]);
    }
    for (i = 0u; i < (MERE_MAX_HOLDS / 2); i++) {
        put("differ", s->differ_ms[i]);
    }
}

/* Levels at which all holds run, but those of the kinds in a mask. */
static uint32_t run_levels(uint32_t stopped)
{
    uint32_t levels = 0u;
    uint32_t i;

    for (i = 0u; i < MISSION.hold_count; i++) {
        const mere_hold_t *hold = &MISSION.holds[i];
        const bool runs = ((stopped >> hold->kind) & 1u) == 0u;
        if (runs == (hold->run_level != 0u)) {
            levels |= (uint32_t)1 << i;
        }
    }
    return levels;
}

/* A power cycle: what is remembered is all that stays, with a bit changed now and then. */
static void run_power_cycle(void)
{
    static const mere_state_t none;
    mere_memory_t memory = { 0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u };

    put("remember", mere_remember(&run.state, random_below(3u), &memory) ? 1 : 0);
    if (random_below(4u) == 0u) {
        memory.tried = (uint16_t)(memory.tried ^ ((uint32_t)1 << random_below(16u)));
    }
    run.state = none;
    put("start", VECTORS_START(&MISSION, &run.state, 0u) ? 1 : 0);
    put("recall", VECTORS_RECALL(&MISSION, &run.state, &memory, random_below(3u)) ? 1 : 0);
    put("check", memory.check);
}

/* One bit of the state changes by itself. */
static void run_damage(void)
{
    const uint32_t bit = random_below(16u);
    mere_state_t *s = &run.state;

    switch (random_below(7u)) {
    case 0u:
        s->phase = (uint8_t)(s->phase ^ ((uint32_t)1 << (bit & 7u)));
        break;
    case 1u:
        s->leg = (uint16_t)(s->leg ^ ((uint32_t)1 << bit));
        break;
    case 2u:
        s->flags = (uint16_t)(s->flags ^ ((uint32_t)1 << bit));
        break;
    case 3u:
        s->latched = (uint16_t)(s->latched ^ ((uint32_t)1 << bit));
        break;
    case 4u:
        s->tried = (uint16_t)(s->tried ^ ((uint32_t)1 << bit));
        break;
    case 5u:
        s->faults = (uint8_t)(s->faults ^ ((uint32_t)1 << (bit & 7u)));
        break;
    default:
        s->seal ^= (uint32_t)1 << bit;
        break;
    }
}

/* The state goes to another plan's mission, and perhaps to one that is refused. */
static void run_other_mission(void)
{
    static mere_mission_t other;

    other = MISSION;
    other.record.digest[random_below(4u)] ^= 1u;
    if (random_half()) { /* by mistake: the next step is with the right one again */
        VECTORS_STEP(&other, &run.state, &run.input, &run.output);
        put_output(&run.output);
        return;
    }
    put("other", VECTORS_START(&other, &run.state, 0u) ? 1 : 0);
    if (random_half()) {
        other.record.format ^= 1u;
        put("other", VECTORS_START(&other, &run.state, 0u) ? 1 : 0);
    }
    put("latched", run.state.latched);
    put("faults", run.state.faults);
}

static void run_begin(bool lap)
{
    static const mere_input_t none;
    static const mere_state_t zeros;
    const uint32_t choice = random_below(4u);
    const mere_leg_t *first;
    uint16_t leg = 0u;

    if (choice == 0u) {
        leg = (uint16_t)random_below((uint32_t)MISSION.leg_count + 1u);
    } else if (choice == 1u) { /* so that some come to the end */
        leg = (uint16_t)(MISSION.leg_count - 1u);
    } else {
        /* the first */
    }
    first = &MISSION.legs[(leg < MISSION.leg_count) ? leg : 0u];
    if (!lap) {
        run.state = zeros;
    }
    put("start", VECTORS_START(&MISSION, &run.state, leg) ? 1 : 0);
    run.input = none;
    run.input.time_ms = (uint32_t)random_next();
    run.east_mm = first->east_mm + random_within(first->tolerance_mm);
    run.north_mm = first->north_mm + random_within(first->tolerance_mm);
    run.fix_due_ms = 0u;
    run.outage_ms = 0u;
    run.speed_mm_s = 0u;
    run.slowing = 0u;
    run.calm = 20u << random_below(12u);
    run.levels = run_levels(random_below(8u));
    if (random_half()) {
        const mere_site_shift_t shift = random_shift((int32_t)MISSION.rover.max_shift_mm, 0);

        put("shift", VECTORS_SET_SHIFT(&MISSION, &run.state, &shift) ? 1 : 0);
    }
}

/* What an operator does whose rover stands: tries what is to be tried, lets go, presses. */
static uint32_t operated_levels(void)
{
    const uint32_t reasons = run.output.reasons;
    const uint32_t again = (uint32_t)MERE_UNTRIED | (uint32_t)MERE_CHANNELS_DIFFER;
    const uint32_t let_go = (uint32_t)MERE_RESET_NEEDED | (uint32_t)MERE_LET_GO_FIRST;
    const uint32_t choice = random_below(4u);
    uint32_t stopped = 0u;

    if ((reasons & again) != 0u) {
        stopped = (choice < 2u) ? 7u : (1u << MERE_HOLD_TO_RUN);
    } else if (((reasons & let_go) != 0u) || (choice == 0u)) {
        stopped = 1u << MERE_HOLD_TO_RUN;
    } else {
        /* press */
    }
    return run_levels(stopped);
}

static bool accident(void)
{
    return random_below(run.calm) == 0u;
}

static void vector_step(void)
{
    mere_input_t *in = &run.input;
    const mere_rover_t *rover = &MISSION.rover;
    uint32_t step_ms = 1u + random_below(rover->loop_ms);
    const mere_leg_t *on = &MISSION.legs[run.output.leg];
    uint32_t speed;

    /* The world: the rover moves as told, more or less, and rolls out half of the coast to
     * expect, or more, up to one and a half: v^2 / 2 a. */
    if ((run.output.events & MERE_EVENT_CUT) != 0u) {
        const uint32_t coast_mm = 1u + ((uint32_t)on->coast * rover->coast_unit_mm);
        run.slowing = (2u * run.speed_mm_s * run.speed_mm_s) / (coast_mm * (2u + random_below(5u)));
    }
    if (run.output.drive_enable) {
        run.speed_mm_s = on->speed_mm_s;
        if (random_half()) {
            step_ms = rover->loop_ms;
        }
        /* Back towards the line, of which the output tells with a delay. */
        run.east_mm -= (int32_t)(((int64_t)on->unit_north_q30 * (run.output.track.cross_mm / 16)) / 1073741824);
        run.north_mm += (int32_t)(((int64_t)on->unit_east_q30 * (run.output.track.cross_mm / 16)) / 1073741824);
    } else {
        const uint32_t slower = 1u + ((run.slowing * step_ms) / 1000u);
        run.speed_mm_s = (run.speed_mm_s > slower) ? (run.speed_mm_s - slower) : 0u;
    }
    speed = run.speed_mm_s;
    if (speed != 0u) {
        run.east_mm += (int32_t)(((int64_t)on->unit_east_q30 * (int64_t)(speed * step_ms)) / 1073741824 / 1000) + random_within(2);
        run.north_mm += (int32_t)(((int64_t)on->unit_north_q30 * (int64_t)(speed * step_ms)) / 1073741824 / 1000) + random_within(2);
    }
    if (accident() && (random_below(8u) == 0u)) {
        const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];
        run.east_mm = leg[1].east_mm + random_within(600);
        run.north_mm = leg[1].north_mm + random_within(600);
    }
    if ((run.output.phase >= MERE_DWELLING) && (random_below(500u) == 0u)) { /* pushed */
        run.east_mm += random_within(900);
    }
    if (accident()) {
        step_ms = random_below(3000u);
    }
    in->time_ms += step_ms;

    /* The receiver. */
    in->fix_new = false;
    run.fix_due_ms += step_ms;
    if ((run.fix_due_ms >= rover->fix_interval_ms) || accident()) {
        run.fix_due_ms = 0u;
        in->fix_new = !accident();
        in->latitude_ndeg = MISSION.conversion.origin_latitude_ndeg
                            + (((int64_t)(run.north_mm - run.state.shift.north_mm) * NDEG_PER_MM_NORTH_Q16) / 65536);
        in->longitude_ndeg = MISSION.conversion.origin_longitude_ndeg
                             + (((int64_t)(run.east_mm - run.state.shift.east_mm) * NDEG_PER_MM_EAST_Q16) / 65536);
        in->quality = (uint8_t)(accident() ? random_below(9u) : (uint32_t)MERE_QUALITY_FIXED);
        in->fix_age_ms = random_below(accident() ? 3000u : (2u * rover->latency_ms));
        if (accident()) {
            in->latitude_ndeg += random_sized(31u);
        }
        if (accident()) {
            in->longitude_ndeg = (int64_t)random_next();
        }
        if (run.outage_ms != 0u) {
            const uint32_t poor = random_below(8u);

            in->fix_new = run.outage_poor;
            in->quality = (uint8_t)((poor < (uint32_t)MERE_QUALITY_FIXED) ? poor : (poor + 1u));
        }
    }
    if (accident() && random_half()) {
        run.outage_ms = random_below(2500u);
        run.outage_poor = random_half();
    }
    run.outage_ms = (run.outage_ms > step_ms) ? (run.outage_ms - step_ms) : 0u;

    /* The operator, who presses when waiting and resets when asked, and the pins. */
    if (accident()) {
        run.levels = run_levels(random_below(8u));
    }
    if (((run.output.phase == MERE_STOPPED) || (run.output.phase == MERE_WAITING)) && (random_below(16u) == 0u)) {
        run.levels = operated_levels();
    }
    if (accident()) {
        run.levels ^= (uint32_t)1 << random_below(16u);
    }
    in->hold_levels = (uint16_t)run.levels;
    if (accident()) {
        in->hold_levels = (uint16_t)(in->hold_levels ^ random_next());
    }
    if (random_below(16u) == 0u) {
        in->reset_request = (!in->reset_request) && ((run.output.reasons & MERE_RESET_NEEDED) != 0u);
    }
    if (random_below(16u) == 0u) {
        in->start_request = (run.output.phase == MERE_WAITING) && (random_below(4u) != 0u);
    }
    if (accident() && (random_below(8u) == 0u)) {
        const mere_site_shift_t shift = random_shift((int32_t)rover->max_shift_mm, 0);

        put("shift", VECTORS_SET_SHIFT(&MISSION, &run.state, &shift) ? 1 : 0);
    }
    if (accident() && (random_below(16u) == 0u)) {
        run_power_cycle();
    }
    /* One at a time: the seal tells of any one bit, not of any two. */
    if (accident() && (random_below(16u) == 0u) && ((run.output.reasons & MERE_BAD_STATE) == 0u)) {
        run_damage();
    }
    if (accident() && (random_below(16u) == 0u)) {
        run_other_mission();
    }
    if (((run.output.reasons & ((uint32_t)MERE_BAD_STATE | (uint32_t)MERE_BAD_MISSION)) != 0u) && (random_below(8u) == 0u)) {
        put("start", VECTORS_START(&MISSION, &run.state, 0u) ? 1 : 0);
    }
    in->speed_known = random_below(4u) != 0u;
    in->speed_mm_s = accident() ? (uint32_t)random_next() : speed;
    if (random_below(8u) == 0u) {
        in->speed_mm_s -= in->speed_mm_s / 4u; /* still gaining speed */
    }
    in->heading_known = random_below(4u) != 0u;
    in->heading_cdeg = (uint16_t)random_below(36010u);

    VECTORS_STEP(&MISSION, &run.state, in, &run.output);
    put_output(&run.output);
}

/* The digest of one block. */
static uint64_t vectors_block(uint32_t block)
{
    const uint32_t kind = block % BLOCK_KINDS;
    static const mere_output_t none;
    uint32_t i;

    random_state = block;
    digest = 0xCBF29CE484222325u;
    for (i = 0u; i < BLOCK_VECTORS; i++) {
        if (kind == 0u) {
            vector_conversion();
        } else if (kind == 1u) {
            vector_numbers();
        } else if (kind == 2u) {
            vector_leg();
        } else if (kind == 3u) {
            vector_stopping();
        } else if (kind == 4u) {
            vector_fence();
        } else if (kind == 5u) {
            vector_shift();
        } else {
            const bool stuck = (run.output.phase == MERE_STOPPED) || (run.output.phase == MERE_FINISHED);
            if ((i == 0u) || (stuck && (random_below(1000u) == 0u))) {
                run.output = none;
                run_begin((i != 0u) && random_half());
            }
            vector_step();
            if ((i % 64u) == 63u) {
                put_state(&run.state);
            }
        }
        trace_end();
    }
    return digest;
}

#endif
