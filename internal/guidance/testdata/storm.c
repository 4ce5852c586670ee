/*
 * A storm: the vectors' random runs, calm ones and wild ones, watched by an oracle that
 * is written apart from the header. From the inputs alone it has its own idea of each
 * contact, of the last fix, the fence, the line, the buttons, and says of each step what
 * must not be. "storm FIRST COUNT" runs COUNT blocks of steps and prints the digest of
 * each, then how many steps there were, how many drove, and which events and reasons came.
 * The twin has the same digests, and so has been watched as well.
 *
 * The oracle takes two things from the header: the conversion of a fix, and whether a
 * state is sound when mere_start is called with it. Both have tests of their own.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "mission.h"

static void trace(const char *text, long long value)
{
    (void)text;
    (void)value;
}

static void trace_end(void)
{
}

/* What the oracle knows of one contact. */
typedef struct {
    bool in_run;
    bool read_run;                   /* in the last step */
    bool seen_open;                  /* for release_ms, since power-up */
    bool tried;                      /* and in run after that */
    bool let_go;                     /* for release_ms, since the drive was last on and since the last act */
    int64_t steady_ms;               /* it has read as it does */
    int64_t opening_ms;              /* with a filter: how far it has come; -1: not at all */
} contact_t;

typedef struct {
    contact_t contacts[MERE_MAX_HOLDS];
    bool stepped;                    /* last_ms is that of the last step */
    uint32_t last_ms;
    int64_t now_ms;                  /* sum of what passed */
    bool located;
    mere_point_t at;                 /* of the last good fix */
    double fence_mm;                 /* from there, once looked at; below -1 before */
    int64_t instant_ms;              /* that it held for, and latency_ms */
    int64_t told_ms;                 /* instant of the last that told it, without latency_ms; -1: none */
    bool shifted;                    /* a site shift was set */
    uint32_t latched;                /* contacts that stopped and were not reset */
    bool carried;                    /* something was latched when a memory or another plan was left */
    bool all_pressed;                /* the hold-to-run circuits, in the last step */
    int64_t reset_ms;                /* pressed for so long; -1: not, or the press is spoilt */
    bool reset_pressed;
    int64_t start_ms;
    bool start_pressed;
    bool start_used;
    bool drove;                      /* in the last step */
    bool needs_act;                  /* nothing but an act may bring the drive on */
    bool begun;                      /* the leg, by an act */
    bool finished;
    mere_phase_t phase;
    mere_state_t left;               /* the state as it was left */
} oracle_t;

static oracle_t oracle;

/* What was seen in all. */
static uint64_t steps;
static uint64_t driven;
static uint32_t events_seen;
static uint32_t reasons_seen;

static void fail(const char *what, const mere_output_t *output)
{
    (void)fprintf(stderr, "step %llu: %s (phase %d, reasons %lx, events %lx)\n", (unsigned long long)steps, what,
                  (int)output->phase, (unsigned long)output->reasons, (unsigned long)output->events);
    exit(1);
}

static void must(bool holds, const char *what, const mere_output_t *output)
{
    if (!holds) {
        fail(what, output);
    }
}

/* The contacts, by the rules in words. */
static void watch_contacts(const mere_input_t *input, int64_t elapsed_ms, bool late)
{
    uint32_t i;

    for (i = 0u; i < MISSION.hold_count; i++) {
        const mere_hold_t *hold = &MISSION.holds[i];
        contact_t *c = &oracle.contacts[i];
        const bool run = (((uint32_t)input->hold_levels >> i) & 1u) == hold->run_level;

        c->steady_ms = ((run == c->read_run) && (!late)) ? (c->steady_ms + elapsed_ms) : 0;
        c->read_run = run;
        if (c->in_run) {
            if (!run) {
                c->opening_ms = (c->opening_ms < 0) ? 0 : (c->opening_ms + elapsed_ms);
                c->in_run = (!late) && (c->opening_ms < (int64_t)hold->filter_ms);
            } else if (c->opening_ms >= 0) {
                c->opening_ms -= elapsed_ms;
            }
            if (!c->in_run) {
                c->steady_ms = 0;
            }
        } else if (run && (c->steady_ms >= (int64_t)hold->debounce_ms)) {
            c->in_run = true;
            c->opening_ms = -1;
            c->tried = c->tried || c->seen_open;
        }
        if ((!c->in_run) && (!run)) {
            if (hold->latched != 0u) {
                oracle.latched |= (uint32_t)1 << i;
            }
            if (c->steady_ms >= (int64_t)MISSION.rover.release_ms) {
                c->seen_open = true;
                c->let_go = true;
            }
        }
        if (c->opening_ms < 0) {
            c->opening_ms = -1;
        }
    }
}

/* The last good fix. */
static void watch_fix(const mere_input_t *input)
{
    const mere_rover_t *rover = &MISSION.rover;
    int64_t age_ms = (int64_t)input->fix_age_ms - rover->latency_ms;
    mere_point_t at;

    age_ms = (age_ms < 0) ? 0 : age_ms;
    if ((!input->fix_new) || (input->quality < rover->required_quality) || (input->quality > 4u)
        || (age_ms > rover->stale_after_ms)
        || (oracle.located && ((oracle.now_ms - age_ms) < oracle.instant_ms))
        || ((input->fix_age_ms > 0u) && (oracle.told_ms >= 0)
            && ((oracle.now_ms - (int64_t)input->fix_age_ms) <= (oracle.told_ms + 2)))) {
        return;
    }
    oracle.located = mere_local_from_fix(&MISSION.conversion, input->latitude_ndeg, input->longitude_ndeg, &at);
    if (oracle.located) {
        oracle.at = mere_shifted(&oracle.left.shift, at);
        oracle.instant_ms = oracle.now_ms - age_ms;
        if (input->fix_age_ms > 0u) {
            oracle.told_ms = oracle.now_ms - (int64_t)input->fix_age_ms;
        }
        oracle.fence_mm = -2.0;
    }
}

/* Distance from the fence by looking at all of it; -1 where a point is not allowed. */
static double fence_distance(mere_point_t at)
{
    const mere_fence_t *fence = &MISSION.fence;
    double nearest = 1e12;
    int32_t winding = 0;
    uint32_t i;

    for (i = 0u; (i + 1u) < fence->edge_count; i++) {
        const mere_edge_t *a = &fence->edges[i];
        const mere_edge_t *b = &fence->edges[i + 1u];
        const double e = (double)b->east_mm - (double)a->east_mm;
        const double n = (double)b->north_mm - (double)a->north_mm;
        const double pe = (double)at.east_mm - (double)a->east_mm;
        const double pn = (double)at.north_mm - (double)a->north_mm;
        double part;
        double distance;

        if ((a->unit_east_q30 == 0) && (a->unit_north_q30 == 0)) {
            continue; /* closes a ring */
        }
        if ((a->north_mm <= at.north_mm) != (b->north_mm <= at.north_mm)) {
            const bool left = ((e * pn) - (n * pe)) > 0.0;

            if (left && (b->north_mm > a->north_mm)) {
                winding++;
            } else if ((!left) && (b->north_mm < a->north_mm)) {
                winding--;
            }
        }
        part = ((pe * e) + (pn * n)) / ((e * e) + (n * n));
        part = (part < 0.0) ? 0.0 : ((part > 1.0) ? 1.0 : part);
        distance = hypot(pe - (part * e), pn - (part * n));
        nearest = (distance < nearest) ? distance : nearest;
    }
    for (i = 0u; i < fence->circle_count; i++) {
        const mere_circle_t *circle = &fence->circles[i];
        const double distance = hypot((double)at.east_mm - circle->east_mm, (double)at.north_mm - circle->north_mm)
                                - circle->radius_mm;

        nearest = (distance < nearest) ? distance : nearest;
    }
    return (winding == 1) ? nearest : -1.0;
}

/* What is rounded in the header is to the nearest millimetre, or to the safe side. */
static const double slack_mm = 1.5;

/* The place: may the leg be driven from here, at this age of the fix? */
static void watch_place(const mere_input_t *input, const mere_output_t *output, bool first)
{
    const mere_rover_t *rover = &MISSION.rover;
    const mere_leg_t *leg = &MISSION.legs[output->leg];
    const double e = (double)leg[1].east_mm - leg[0].east_mm;
    const double n = (double)leg[1].north_mm - leg[0].north_mm;
    const double length = hypot(e, n);
    const double pe = (double)oracle.at.east_mm - leg[0].east_mm;
    const double pn = (double)oracle.at.north_mm - leg[0].north_mm;
    const double along = ((pe * e) + (pn * n)) / length;
    const double cross = fabs((pe * n) - (pn * e)) / length;
    const double from_end = hypot((double)oracle.at.east_mm - leg[1].east_mm, (double)oracle.at.north_mm - leg[1].north_mm);
    const double allowed = (along < (leg->join_mm + slack_mm)) ? leg->join_cross_mm : rover->cross_track_mm;
    const int64_t age_ms = oracle.now_ms - oracle.instant_ms;
    const double reaction_ms = (double)age_ms + rover->latency_ms + rover->loop_ms + rover->output_delay_ms;
    double speed = leg->speed_mm_s;
    double way;
    double need;

    must(oracle.located, "drives without a fix", output);
    must(age_ms <= rover->stale_after_ms, "drives with a stale fix", output);
    must((rover->shift_needed == 0u) || oracle.shifted, "drives without a site shift", output);
    if (input->speed_known && (input->speed_mm_s > leg->speed_mm_s)) {
        speed = (input->speed_mm_s > 65535u) ? 65535.0 : input->speed_mm_s;
    }
    way = ((speed * reaction_ms) / 1000.0) + ((double)leg->coast_bound * rover->coast_unit_mm);
    need = way + rover->front_mm;
    need = leg->fence_allowance_mm + hypot((need > rover->back_mm) ? need : rover->back_mm, rover->half_width_mm);
    if (oracle.fence_mm < -1.0) {
        oracle.fence_mm = fence_distance(oracle.at);
    }
    must((oracle.fence_mm + slack_mm) >= need, "drives too near the fence", output);
    if (first) {
        must(hypot(pe, pn) <= (leg->tolerance_mm + slack_mm), "starts away from the start", output);
    }
    must(cross <= (allowed + slack_mm), "drives off the line", output);
    if ((along > (length + slack_mm)) && (from_end > (leg[1].tolerance_mm + slack_mm))) {
        must((leg[1].dwell == MERE_PASS_THROUGH) && (cross <= (leg[1].tolerance_mm + slack_mm)), "drives beyond the mark", output);
    }
}

/* The reset button, and whether a reset was due. */
static void watch_reset(const mere_input_t *input, const mere_output_t *output, int64_t elapsed_ms, bool late)
{
    bool due;
    bool back = !late;
    uint32_t i;

    for (i = 0u; i < MISSION.hold_count; i++) {
        if ((((oracle.latched >> i) & 1u) != 0u) && (!oracle.contacts[i].in_run)) {
            back = false;
        }
    }
    due = oracle.reset_pressed && (!input->reset_request) && back && (oracle.reset_ms >= (int64_t)MISSION.rover.reset_press_ms);
    if ((output->events & MERE_EVENT_RESET) != 0u) {
        must(due, "reset without a press", output);
        must((output->events & MERE_EVENT_STARTED) == 0u, "reset and start in one step", output);
        oracle.latched = 0u;
        oracle.carried = false;
    }
    if (!input->reset_request) {
        oracle.reset_ms = -1;
    } else if (!oracle.reset_pressed) {
        oracle.reset_ms = back ? 0 : -1;
    } else if ((oracle.reset_ms >= 0) && back) {
        oracle.reset_ms += elapsed_ms;
    } else {
        oracle.reset_ms = -1;
    }
    oracle.reset_pressed = input->reset_request;
}

/* Whether the operator acts in this step. */
static bool watch_act(const mere_input_t *input, int64_t elapsed_ms, bool late)
{
    bool pressed = true;
    bool let_go = true;
    bool button = true;
    bool act;
    uint32_t i;

    for (i = 0u; i < MISSION.hold_count; i++) {
        if (MISSION.holds[i].kind == (uint8_t)MERE_HOLD_TO_RUN) {
            button = false;
            pressed = pressed && oracle.contacts[i].in_run;
            let_go = let_go && oracle.contacts[i].let_go;
        }
    }
    if (!input->start_request) {
        oracle.start_ms = -1;
        oracle.start_used = false;
    } else if (!oracle.start_pressed) {
        oracle.start_ms = late ? -1 : 0;
    } else if ((oracle.start_ms >= 0) && (!late)) {
        oracle.start_ms += elapsed_ms;
    } else {
        oracle.start_ms = -1;
    }
    oracle.start_pressed = input->start_request;
    if (button) {
        act = (!oracle.start_used) && (oracle.start_ms >= (int64_t)MISSION.rover.reset_press_ms);
        oracle.start_used = oracle.start_used || act;
        return act;
    }
    act = pressed && (!oracle.all_pressed);
    oracle.all_pressed = pressed;
    for (i = 0u; act && (i < MISSION.hold_count); i++) {
        if (MISSION.holds[i].kind == (uint8_t)MERE_HOLD_TO_RUN) {
            oracle.contacts[i].let_go = false;
        }
    }
    return act && let_go;
}

/* Whatever the clock says: the same step with another clock comes to the same. */
static void watch_clock(const mere_mission_t *mission, const mere_state_t *before, const mere_state_t *after,
                        const mere_input_t *input, const mere_output_t *output)
{
    static mere_output_t other_output;
    const uint32_t ahead_ms = (uint32_t)(0u - input->time_ms) + (uint32_t)(steps % 7u) - 3u; /* about the wrap */
    mere_state_t other = *before;
    mere_input_t other_input = *input;

    if ((other.flags & MERE_FLAG_TIMED) != 0u) {
        other.time_ms += ahead_ms;
    }
    other_input.time_ms += ahead_ms;
    mere_step(mission, &other, &other_input, &other_output);
    must((other.time_ms == (before->time_ms + ahead_ms)) || (other.time_ms == other_input.time_ms)
             || (other.time_ms == before->time_ms), "another clock is not taken", output);
    other.time_ms = after->time_ms;
    must(memcmp(&other, after, sizeof(other)) == 0, "another clock leaves another state", output);
    must(memcmp(&other_output, output, sizeof(other_output)) == 0, "another clock gives another output", output);
}

static void storm_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    const mere_state_t before = *state;
    const bool damaged = memcmp(&before, &oracle.left, sizeof(before)) != 0;
    const bool was_under_way = (oracle.phase == MERE_DRIVING) || (oracle.phase == MERE_COASTING) || (oracle.phase == MERE_DWELLING);
    const int64_t elapsed_ms = oracle.stepped ? (int64_t)(uint32_t)(input->time_ms - oracle.last_ms) : 0;
    const bool late = (!oracle.stepped) || (elapsed_ms > (int64_t)mission->rover.loop_ms);
    const uint32_t bad = (uint32_t)MERE_BAD_MISSION | (uint32_t)MERE_BAD_STATE;
    bool act;
    uint32_t i;

    mere_step(mission, state, input, output);
    steps++;
    events_seen |= output->events;
    reasons_seen |= output->reasons;
    watch_clock(mission, &before, state, input, output);
    must(output->drive_enable == (output->speed_limit_mm_s != 0u), "limit and drive differ", output);
    must((!output->drive_enable) || ((output->phase == MERE_DRIVING) && (output->reasons == 0u)), "drives in spite of", output);
    if ((output->reasons & bad) != 0u) {
        if ((!damaged) && was_under_way) {
            must(state->phase == (uint8_t)MERE_STOPPED, "goes on after a step that was none", output);
            oracle.phase = MERE_STOPPED;
            oracle.drove = false;
            oracle.needs_act = true;
            oracle.left = *state;
        } else if (!damaged) {
            must(memcmp(&before, state, sizeof(before)) == 0, "a step that was none changed the state", output);
        } else {
            /* what is damaged may be changed further */
        }
        return;
    }
    must(!damaged, "goes on with a damaged state", output);

    oracle.now_ms += elapsed_ms;
    oracle.last_ms = input->time_ms;
    oracle.stepped = true;
    watch_contacts(input, elapsed_ms, late);
    watch_fix(input);
    watch_reset(input, output, elapsed_ms, late);
    act = watch_act(input, elapsed_ms, late);

    for (i = 0u; i < mission->hold_count; i++) {
        const contact_t *c = &oracle.contacts[i];

        must((((uint32_t)output->holds_run >> i) & 1u) == (c->in_run ? 1u : 0u), "a contact is not as it reads", output);
        must(c->read_run || (!output->drive_enable) || oracle.drove, "comes on while a hold reads stop", output);
        if (output->drive_enable) {
            must(c->in_run && (c->read_run || (mission->holds[i].filter_ms != 0u)), "drives with a hold in stop", output);
            must(c->tried, "drives without the start-up test", output);
        }
    }
    if ((output->events & MERE_EVENT_STARTED) != 0u) {
        must(act && (!late), "starts without an act", output);
        must((oracle.phase == MERE_STOPPED) || (oracle.phase == MERE_WAITING), "starts out of another phase", output);
    }
    if (was_under_way && (output->phase == MERE_STOPPED)) {
        must((output->events & MERE_EVENT_STOPPED) != 0u, "stops and does not tell", output);
    }
    if (((output->events & MERE_EVENT_STARTED) != 0u) && (output->phase == MERE_DWELLING)) {
        oracle.needs_act = false; /* a dwell anew: the departure after it needs no further one */
        oracle.begun = true;
        for (i = 0u; i < mission->hold_count; i++) {
            oracle.contacts[i].let_go = false;
        }
    }
    if ((output->events & MERE_EVENT_STOPPED) != 0u) {
        must((output->reasons != 0u) && (output->stopped_by == output->reasons), "stops without a reason", output);
        oracle.needs_act = true;
    }
    oracle.finished = oracle.finished || ((output->events & MERE_EVENT_FINISHED) != 0u);
    must((output->phase == MERE_FINISHED) == oracle.finished, "finished and not finished", output);
    if (output->drive_enable) {
        const uint32_t on = (uint32_t)MERE_EVENT_STARTED | (uint32_t)MERE_EVENT_DEPARTED | (uint32_t)MERE_EVENT_SHORT;
        const bool started = (output->events & MERE_EVENT_STARTED) != 0u;

        driven++;
        must(oracle.drove || ((output->events & on) != 0u), "comes on by itself", output);
        must((!oracle.needs_act) || started, "comes on after a stop without an act", output);
        must(!late, "drives in a late step", output);
        must((oracle.latched == 0u) && (!oracle.carried), "drives without a reset", output);
        must(!oracle.finished, "drives after the end", output);
        watch_place(input, output, started && (!oracle.begun));
        oracle.needs_act = false;
        oracle.begun = true;
        for (i = 0u; i < mission->hold_count; i++) {
            oracle.contacts[i].let_go = false;
        }
    }
    oracle.drove = output->drive_enable;
    oracle.phase = output->phase;
    oracle.left = *state;
}

/* The oracle at power-up, but for what was carried over. */
static void forget(bool carried)
{
    static const oracle_t none;
    uint32_t i;

    oracle = none;
    oracle.carried = carried;
    oracle.reset_ms = -1;
    oracle.start_ms = -1;
    for (i = 0u; i < MERE_MAX_HOLDS; i++) {
        oracle.contacts[i].opening_ms = -1;
    }
}

static bool storm_start(const mere_mission_t *mission, mere_state_t *state, uint16_t leg)
{
    const bool sound = mere_sound(state);
    const bool same = sound && (state->mission_word == mere_mission_word(mission));
    const bool stopped = sound && (oracle.carried || (oracle.latched != 0u) || (state->latched != 0u) || (state->faults != 0u));
    const bool started = mere_start(mission, state, leg);

    if (started && (!same)) {
        forget(stopped);
    }
    oracle.located = false;
    oracle.told_ms = -1;
    oracle.needs_act = true;
    oracle.finished = false;
    oracle.begun = false;
    oracle.drove = false;
    oracle.phase = MERE_STOPPED;
    oracle.left = *state;
    return started;
}

static bool storm_set_shift(const mere_mission_t *mission, mere_state_t *state, const mere_site_shift_t *shift)
{
    static const mere_output_t nothing;
    const bool set = mere_set_shift(mission, state, shift);

    if (set) {
        must(!oracle.drove, "shifted while driving", &nothing);
        oracle.shifted = true;
        oracle.located = false;
        oracle.left = *state;
    }
    return set;
}

/* After a start from nothing: what the memory says, where it is taken. */
static bool storm_recall(const mere_mission_t *mission, mere_state_t *state, const mere_memory_t *memory, uint32_t day)
{
    const bool recalled = mere_recall(mission, state, memory, day);
    uint32_t i;

    if (recalled) {
        oracle.carried = oracle.carried || (memory->latched != 0u) || (memory->faults != 0u);
        oracle.begun = memory->progress != (uint8_t)MERE_NOT_BEGUN;
        oracle.finished = memory->progress == (uint8_t)MERE_ENDED;
        oracle.located = false;
        for (i = 0u; (day != 0u) && (day == memory->day) && (i < MERE_MAX_HOLDS); i++) {
            oracle.contacts[i].tried = oracle.contacts[i].tried || (((memory->tried >> i) & 1u) != 0u);
        }
        oracle.left = *state;
    }
    return recalled;
}

#define VECTORS_STEP storm_step
#define VECTORS_START storm_start
#define VECTORS_SET_SHIFT storm_set_shift
#define VECTORS_RECALL storm_recall
#include "vectors.h"

int main(int argc, char **argv)
{
    uint32_t block;
    uint32_t count;

    if (argc != 3) {
        return 2;
    }
    block = (uint32_t)strtoul(argv[1], NULL, 10);
    count = (uint32_t)strtoul(argv[2], NULL, 10);
    forget(false);
    while (count > 0u) {
        if ((block % BLOCK_KINDS) >= (BLOCK_KINDS - 2)) { /* those of steps */
            (void)printf("%lu %016llx\n", (unsigned long)block, (unsigned long long)vectors_block(block));
            count--;
        }
        block++;
    }
    (void)printf("seen %llu %llu %lu %lu\n", (unsigned long long)steps, (unsigned long long)driven, (unsigned long)events_seen,
                 (unsigned long)reasons_seen);
    return 0;
}
