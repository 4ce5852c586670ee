/*
 * Searches for what takes the board the most instructions: fixes, points for the margin
 * anywhere and in the places that worst_places[] names, and steps there. Counting is
 * that of count.h.
 *
 * Each line of output: what, worst, mean, number of runs.
 */
#include "board.h"
#include "mission.h"
#include "worst.h"
#include "count.h"

static volatile int32_t whole_sink;

static void trace(const char *text, int64_t value)
{
    (void)text;
    (void)value;
}

MEASURED int32_t measured_margin(const mere_fence_t *fence, mere_point_t at)
{
    return mere_fence_margin(fence, at);
}

MEASURED bool measured_fix(const mere_conversion_t *conversion, int64_t latitude, int64_t longitude, mere_point_t *at)
{
    return mere_local_from_fix(conversion, latitude, longitude, at);
}

MEASURED void measured_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    mere_step(mission, state, input, output);
}

static tally_t step = { 0u, 0u, 0u };

static void counted_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    BEGIN();
    measured_step(mission, state, input, output);
    END();
    count(&step);
}

#define VECTORS_STEP counted_step

#include "vectors.h"

/* A fix at a place, roughly. */
MEASURED void fix_at(mere_input_t *in, mere_point_t at)
{
    in->fix_new = true;
    in->quality = (uint8_t)MERE_QUALITY_FIXED;
    in->latitude_ndeg = MISSION.conversion.origin_latitude_ndeg + (((int64_t)at.north_mm * NDEG_PER_MM_NORTH_Q16) / 65536);
    in->longitude_ndeg = MISSION.conversion.origin_longitude_ndeg + (((int64_t)at.east_mm * NDEG_PER_MM_EAST_Q16) / 65536);
}

MEASURED uint32_t margin_at(mere_point_t at, tally_t *margin)
{
    const mere_fence_t *const fence = &board_mission->fence;

    BEGIN();
    whole_sink = measured_margin(fence, at);
    END();
    count(margin);
    return taken;
}

/* From random points of a place, uphill by steps of any size. */
static mere_point_t search_margin(const worst_place_t *place, tally_t *margin)
{
    const uint32_t side = (uint32_t)1 << place->log2;
    mere_point_t worst = { 0, 0 };
    uint32_t most = 0u;
    uint32_t i;

    for (i = 0u; i < 60u; i++) {
        mere_point_t best;
        uint32_t best_taken;
        uint32_t j;

        best.east_mm = place->west_mm + (int32_t)random_below(side);
        best.north_mm = place->south_mm + (int32_t)random_below(side);
        best_taken = margin_at(best, margin);
        for (j = 0u; (i >= 40u) && (j < 60u); j++) {
            mere_point_t at = best;
            uint32_t here;

            at.east_mm += random_sized(place->log2 + 1u);
            at.north_mm += random_sized(place->log2 + 1u);
            if ((((uint32_t)(at.east_mm - place->west_mm) | (uint32_t)(at.north_mm - place->south_mm)) >> place->log2) != 0u) {
                continue;
            }
            here = margin_at(at, margin);
            if (here >= best_taken) {
                best_taken = here;
                best = at;
            }
        }
        if (best_taken > most) {
            most = best_taken;
            worst = best;
        }
    }
    return worst;
}

/* Any state of the holds and buttons that there is, and some that there is not. */
static void any_holds(mere_state_t *state)
{
    const uint32_t all = state->holds_all;
    uint32_t i;

    state->holds_run = (uint16_t)(random_half() ? (random_next() & all) : all);
    state->holds_read = (uint16_t)(random_next() & all);
    state->filtering = (uint16_t)(random_next() & state->holds_run);
    state->opened = (uint16_t)(random_next() & all);
    state->tried = (uint16_t)(random_half() ? (random_next() & all) : all);
    state->latched = (uint16_t)(random_half() ? 0u : (random_next() & all));
    state->faults = (uint8_t)(random_half() ? 0u : (random_next() & mere_pairs(&MISSION)));
    state->both_stopped = (uint8_t)random_next();
    state->parted = (uint8_t)random_next();
    for (i = 0u; i < MERE_MAX_HOLDS; i++) {
        state->count_ms[i] = (uint16_t)random_scaled(16u);
        state->differ_ms[i / 2u] = (uint16_t)random_scaled(16u);
    }
    state->reset_press_ms = (uint16_t)(random_half() ? random_below(2u * (uint32_t)MISSION.rover.reset_press_ms) : 0u);
    state->start_press_ms = (uint16_t)(random_half() ? random_below(2u * (uint32_t)MISSION.rover.reset_press_ms) : 0u);
}

/* A step with a fix at a place or at the end of a leg, in any phase, on any leg, from
 * states that driving came to and from any other. */
MEASURED void search_step(mere_point_t at)
{
    mere_state_t state = run.state;
    mere_input_t in = run.input;
    mere_output_t out;
    const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];

    state.phase = (uint8_t)random_below(6u);
    state.leg = (uint16_t)(leg - MISSION.legs);
    state.flags = (uint16_t)((random_next() & 0x5FFu) | MERE_FLAG_LOCATED); /* but REFUSED */
    state.format = MERE_RECORD_FORMAT;
    state.mission_word = mere_mission_word(&MISSION);
    if (random_below(4u) != 0u) {
        any_holds(&state);
    }
    state.timer_ms = random_half() ? 100000u : random_below(5000u);
    state.fix_age_ms = random_below(1000u);
    state.look = (uint8_t)random_below(4u);
    state.rolled_um = (uint32_t)random_scaled(32u);
    state.foremost_mm = random_sized(20u);
    if (random_half()) {
        at.east_mm = leg[1].east_mm + random_within(300);
        at.north_mm = leg[1].north_mm + random_within(300);
    }
    state.at = at;
    state.at.east_mm += random_within(2000);
    if (random_half()) { /* a rotation, so small that the place stays what it is */
        state.shift.sine_q30 = 1;
        state.shift.cosine_q30 = 0x40000000;
    }
    state.shift.east_mm = 0;
    state.shift.north_mm = 0;
    state.seal = mere_seal(&state);
    fix_at(&in, at);
    in.fix_age_ms = random_below(2u * (uint32_t)MISSION.rover.latency_ms);
    in.time_ms = state.time_ms + random_below((uint32_t)MISSION.rover.loop_ms + 2u);
    in.hold_levels = (uint16_t)(random_half() ? random_next() : run_levels(0u));
    in.speed_known = random_half();
    in.speed_mm_s = random_below(3000u);
    in.heading_known = true;
    in.heading_cdeg = (uint16_t)random_below(36000u);
    in.reset_request = random_half();
    in.start_request = random_half();
    counted_step(board_mission, &state, &in, &out);
    whole_sink = out.margin_mm;
}

int main(void)
{
    const mere_conversion_t *const conversion = &board_mission->conversion;
    tally_t fix = { 0u, 0u, 0u };
    tally_t margin = { 0u, 0u, 0u };
    uint32_t i;
    uint32_t j;

    count_begin();
    random_state = 1u;
    run_begin(false);
    for (i = 0u; i < 20000u; i++) {
        const mere_point_t place = random_place();
        mere_input_t in;
        mere_point_t at = { 0, 0 };

        fix_at(&in, place);
        BEGIN();
        whole_sink = measured_fix(conversion, in.latitude_ndeg, in.longitude_ndeg, &at) ? 1 : 0;
        END();
        count(&fix);
        (void)margin_at(place, &margin);
        if ((run.output.phase == MERE_FINISHED) || ((run.output.phase == MERE_STOPPED) && (random_below(100u) == 0u))) {
            run_begin(false);
        }
        run.calm = 500u;
        vector_step();
        search_step(place);
    }
    for (i = 0u; i < (sizeof(worst_places) / sizeof(worst_places[0])); i++) {
        const mere_point_t worst = search_margin(&worst_places[i], &margin);

        for (j = 0u; j < 600u; j++) {
            if ((j % 8u) == 0u) {
                vector_step();
            }
            search_step(worst);
        }
    }
    report("fix", &fix);
    report("margin", &margin);
    report("step", &step);
    return 0;
}
