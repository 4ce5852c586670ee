/*
 * Counts the instructions of the header's functions, and of the usual way in double
 * precision. Counting is that of count.h.
 *
 * Each line of output: what, worst, mean, number of runs.
 */
#include <math.h>

#include "board.h"
#include "mission.h"

#include "count.h"

MEASURED bool measured_fix(const mere_conversion_t *conversion, int64_t latitude, int64_t longitude, mere_point_t *at)
{
    return mere_local_from_fix(conversion, latitude, longitude, at);
}

MEASURED mere_track_t measured_track(const mere_leg_t *leg, mere_point_t at)
{
    return mere_track(leg, at);
}

MEASURED uint32_t measured_bearing(int32_t east, int32_t north)
{
    return mere_bearing(east, north);
}

MEASURED uint32_t measured_length(uint32_t a, uint32_t b)
{
    return mere_length(a, b);
}

MEASURED int32_t measured_margin(const mere_fence_t *fence, mere_point_t at)
{
    return mere_fence_margin(fence, at);
}

MEASURED void measured_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    mere_step(mission, state, input, output);
}

/* The usual way, in double precision: great-circle distance by the haversine
 * formula, and initial bearing, in degrees. */
static volatile double sink;
static volatile int32_t whole_sink;

MEASURED double usual_distance(double lat1, double lon1, double lat2, double lon2)
{
    const double radian = 0.017453292519943295;
    const double a = sin((lat2 - lat1) * radian / 2.0);
    const double b = sin((lon2 - lon1) * radian / 2.0);
    const double h = (a * a) + (cos(lat1 * radian) * cos(lat2 * radian) * b * b);

    return 2.0 * 6371008.8 * asin(sqrt(h));
}

MEASURED double usual_bearing(double lat1, double lon1, double lat2, double lon2)
{
    const double radian = 0.017453292519943295;
    const double d = (lon2 - lon1) * radian;
    const double y = sin(d) * cos(lat2 * radian);
    const double x = (cos(lat1 * radian) * sin(lat2 * radian)) - (sin(lat1 * radian) * cos(lat2 * radian) * cos(d));

    return atan2(y, x) / radian;
}

static tally_t step_with_fix;
static tally_t step_without_fix;
static tally_t step_driving;
static tally_t step_rolling;
static tally_t step_by_phase[6];

static void counted_step(const mere_mission_t *mission, mere_state_t *state, const mere_input_t *input, mere_output_t *output)
{
    const bool driving = state->phase == (uint8_t)MERE_DRIVING;

    BEGIN();
    measured_step(mission, state, input, output);
    END();
    if (driving && (output->phase == MERE_DRIVING)) {
        count(input->fix_new ? &step_driving : &step_rolling);
    }
    count(input->fix_new ? &step_with_fix : &step_without_fix);
    count(&step_by_phase[output->phase]);
}

#define VECTORS_STEP counted_step

static void trace(const char *text, int64_t value)
{
    (void)text;
    (void)value;
}

#include "vectors.h"

/* A fix at a place, roughly. */
MEASURED void fix_at(mere_input_t *in, mere_point_t at)
{
    in->fix_new = true;
    in->quality = (uint8_t)MERE_QUALITY_FIXED;
    in->latitude_ndeg = MISSION.conversion.origin_latitude_ndeg + (((int64_t)at.north_mm * NDEG_PER_MM_NORTH_Q16) / 65536);
    in->longitude_ndeg = MISSION.conversion.origin_longitude_ndeg + (((int64_t)at.east_mm * NDEG_PER_MM_EAST_Q16) / 65536);
}

static void bench_functions(void)
{
    const mere_conversion_t *const conversion = &board_mission->conversion;
    const mere_fence_t *const fence = &board_mission->fence;
    tally_t fix = { 0u, 0u, 0u };
    tally_t track = { 0u, 0u, 0u };
    tally_t bearing = { 0u, 0u, 0u };
    tally_t length = { 0u, 0u, 0u };
    tally_t margin = { 0u, 0u, 0u };
    tally_t haversine = { 0u, 0u, 0u };
    tally_t azimuth = { 0u, 0u, 0u };
    uint32_t i;

    for (i = 0u; i < 20000u; i++) {
        const mere_point_t place = random_place();
        mere_input_t in;
        mere_point_t at = { 0, 0 };
        const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];
        const int32_t east = random_sized(27u);
        const int32_t north = random_sized(27u);

        fix_at(&in, place);
        BEGIN();
        whole_sink = measured_fix(conversion, in.latitude_ndeg, in.longitude_ndeg, &at) ? 1 : 0;
        END();
        count(&fix);
        BEGIN();
        whole_sink = measured_track(leg, at).cross_mm;
        END();
        count(&track);
        BEGIN();
        whole_sink = (int32_t)measured_bearing(east, north);
        END();
        count(&bearing);
        BEGIN();
        whole_sink = (int32_t)measured_length(mere_magnitude(east), mere_magnitude(north));
        END();
        count(&length);
        BEGIN();
        whole_sink = measured_margin(fence, place);
        END();
        count(&margin);
        if (i < 200u) {
            const double lat1 = 45.3012 + ((double)i * 1e-6);
            const double lon1 = 6.1234;
            const double lat2 = lat1 + ((double)random_within(1000) * 1e-6);
            const double lon2 = lon1 + ((double)random_within(1000) * 1e-6);

            BEGIN();
            sink = usual_distance(lat1, lon1, lat2, lon2);
            END();
            count(&haversine);
            BEGIN();
            sink = usual_bearing(lat1, lon1, lat2, lon2);
            END();
            count(&azimuth);
        }
    }
    report("fix", &fix);
    report("track", &track);
    report("bearing", &bearing);
    report("length", &length);
    report("margin", &margin);
    report("double-distance", &haversine);
    report("double-bearing", &azimuth);
}

/* Steps with a fix anywhere, in any phase and on any leg that driving came to: a
 * search for the worst. */
static void bench_anywhere(void)
{
    tally_t anywhere = { 0u, 0u, 0u };
    uint32_t i;

    for (i = 0u; i < 40000u; i++) {
        mere_state_t state = run.state;
        mere_input_t in = run.input;
        mere_output_t out;
        const mere_leg_t *leg = &MISSION.legs[random_below(MISSION.leg_count)];
        mere_point_t at = random_place();

        state.phase = (uint8_t)random_below(6u);
        state.leg = (uint16_t)(leg - MISSION.legs);
        state.flags = (uint16_t)(random_next() & 0x1FFu); /* but REFUSED */
        state.format = MERE_RECORD_FORMAT;
        state.mission_word = mere_mission_word(&MISSION);
        state.seal = mere_seal(&state);
        if (random_half()) { /* so that there are arrivals too */
            at.east_mm = leg[1].east_mm + random_within(300);
            at.north_mm = leg[1].north_mm + random_within(300);
        }
        fix_at(&in, at);
        in.time_ms = state.time_ms + random_below(60u);
        in.hold_levels = (uint16_t)random_next();
        BEGIN();
        measured_step(&MISSION, &state, &in, &out);
        END();
        whole_sink = out.margin_mm;
        count(&anywhere);
        if ((i % 64u) == 0u) {
            vector_step();
        }
    }
    report("step-anywhere", &anywhere);
}

int main(void)
{
    uint32_t i;

    count_begin();
    random_state = 1u;
    bench_functions();
    run_begin(false);
    for (i = 0u; i < 120000u; i++) {
        if ((run.output.phase == MERE_FINISHED) || ((run.output.phase == MERE_STOPPED) && (random_below(100u) == 0u))) {
            run_begin(false);
        }
        run.calm = 2000u;
        vector_step();
    }
    report("step-driving-with-fix", &step_driving);
    report("step-driving-without-fix", &step_rolling);
    report("step-stopped", &step_by_phase[MERE_STOPPED]);
    report("step-waiting", &step_by_phase[MERE_WAITING]);
    report("step-coasting", &step_by_phase[MERE_COASTING]);
    report("step-dwelling", &step_by_phase[MERE_DWELLING]);
    report("step-finished", &step_by_phase[MERE_FINISHED]);
    report("step-with-fix", &step_with_fix);
    report("step-without-fix", &step_without_fix);
    bench_anywhere();
    board_print("state ");
    board_print_decimal((uint32_t)sizeof(mere_state_t));
    board_print("\n");
    return 0;
}
