/* Prints every value of a mission, one a line, in the order of the structs. The
 * test puts the mission's name for MISSION and a function's name for PRINT. */
#include <inttypes.h>
#include <stdio.h>

void PRINT(void);

void PRINT(void)
{
    const mere_mission_t *m = &MISSION;
    const mere_conversion_t *c = &m->conversion;
    const mere_rover_t *r = &m->rover;
    const mere_fence_t *f = &m->fence;
    uint32_t i;

    printf("%s %u ", m->record.magic, m->record.format);
    for (i = 0u; i < 32u; i++) {
        printf("%02x", m->record.digest[i]);
    }
    printf(" %s %s\n", m->record.mission, m->record.tool);
    printf("%" PRId64 " %" PRId64 " %" PRId64 " %" PRId64 " %" PRIu32 " %" PRIu32 " %" PRId32 " %" PRId32 "\n",
           c->origin_latitude_ndeg, c->origin_longitude_ndeg, c->south_ndeg, c->west_ndeg, c->latitude_span_ndeg,
           c->longitude_span_ndeg, c->south_from_origin_ndeg, c->west_from_origin_ndeg);
    for (i = 0u; i < 6u; i++) {
        printf("east %" PRId32 "\n", c->east[i]);
    }
    for (i = 0u; i < 7u; i++) {
        printf("north %" PRId32 "\n", c->north[i]);
    }
    printf("%u %u %u %" PRIu32 "\n", c->east_shift, c->north_shift, c->degree, c->bound_um);
    printf("%u %u %" PRIu32 " %" PRIu32 " %u %u %u %u %u %u %u %u %u %u %u %u\n", r->coast_mm, r->coast_from_mm_s,
           r->coast_square_q32, r->coast_linear_q16, r->latency_ms, r->fix_interval_ms, r->loop_ms,
           r->output_delay_ms, r->stale_after_ms, r->settle_ms, r->reset_press_ms, r->look_ahead_mm,
           r->fence_allowance_mm, r->stopping_share_q8, r->max_shift_mm, r->required_quality);
    for (i = 0u; i < m->leg_count; i++) {
        const mere_leg_t *l = &m->legs[i];
        printf("leg %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 " %" PRIu32
               " %u %u %u %u %u %u %u\n",
               l->start_east_mm, l->start_north_mm, l->end_east_mm, l->end_north_mm, l->unit_east_q30,
               l->unit_north_q30, l->length_mm, l->dwell_ms, l->bearing_cdeg, l->speed_mm_s, l->start_tolerance_mm,
               l->end_tolerance_mm, l->cross_track_mm, l->join_mm, l->stop_at_end);
    }
    for (i = 0u; i < f->edge_count; i++) {
        const mere_edge_t *e = &f->edges[i];
        printf("edge %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 " %" PRId32 "\n", e->east_mm, e->north_mm,
               e->unit_east_q30, e->unit_north_q30, e->length_mm);
    }
    for (i = 0u; i < f->circle_count; i++) {
        printf("circle %" PRId32 " %" PRId32 " %" PRId32 "\n", f->circles[i].east_mm, f->circles[i].north_mm,
               f->circles[i].radius_mm);
    }
    for (i = 0u; i < f->node_count; i++) {
        printf("node %u\n", f->nodes[i]);
    }
    for (i = 0u; i < f->list_count; i++) {
        printf("list %u\n", f->lists[i]);
    }
    printf("%" PRId32 " %" PRId32 " %u %u %u %u %u\n", f->west_mm, f->south_mm, f->root_log2, f->list_log2,
           f->margin_unit_mm, f->exact_within_mm, f->slack_mm);
    for (i = 0u; i < m->hold_count; i++) {
        const mere_hold_t *h = &m->holds[i];
        printf("hold %u %u %u %u %u %u %u %u\n", h->pin, h->debounce_ms, h->discrepancy_ms, h->kind, h->run_level,
               h->stop_category, h->latched, h->two_channels);
    }
    printf("closed %u\n", m->closed);
}
