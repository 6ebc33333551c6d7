/* The pose, and the parts put together. */
#include "figure.h"
#include "shape.h"

figure figure_pose(void)
{
    figure f;
    f.head = frame_of(vec(0, 0, 0), 0.50f, 0.05f, -0.04f);
    f.body = frame_of(vec(0, 0, 0), -0.10f, 0, 0);
    /* The cap sits tilted back on the head: lower at the nape than over the brow. */
    f.cap = frame_of(vec(0, 0, 0), 0, -0.22f, 0);
    frame3 on_head = f.cap;
    f.cap.origin = out_of(&f.head, vec(0, 0.22f, 0));
    f.cap.right = turn_out(&f.head, on_head.right);
    f.cap.up = turn_out(&f.head, on_head.up);
    f.cap.front = turn_out(&f.head, on_head.front);
    return f;
}

/* Parts far behind the nearest bound are skipped: most of the time goes into this function. */
float figure_distance(const figure *f, vec3 p)
{
    vec3 body = into(&f->body, p);
    float d = coat_distance(body);
    if (body.y < -1.9f)
        d = least(d, button_distance(body, d));
    if (ball(body, vec(0, -1.9f, -0.1f), 1.6f) < d)
        d = least(d, jersey_distance(body));
    float head_bound = ball(p, vec(0, -0.1f, 0), 2.0f);
    if (head_bound > most(d, 0.3f))
        return least(d, head_bound);
    vec3 head = into(&f->head, p);
    d = least(d, face_distance(head));
    d = least(d, beard_ground_distance(head));
    if (head.z > 0.4f)
        d = least(d, eyeball_distance(head));
    if (head.y > -0.4f)
        d = least(d, cap_distance(into(&f->cap, p)));
    return d;
}

float figure_part(const figure *f, stuff what, vec3 p)
{
    switch (what) {
    case STUFF_SKIN:
        return face_distance(into(&f->head, p));
    case STUFF_EYE:
        return eyeball_distance(into(&f->head, p));
    case STUFF_BEARD:
        return beard_ground_distance(into(&f->head, p));
    case STUFF_CAP:
        return cap_distance(into(&f->cap, p));
    case STUFF_COAT:
        return coat_distance(into(&f->body, p));
    case STUFF_JERSEY:
        return jersey_distance(into(&f->body, p));
    case STUFF_BUTTON:
        return button_distance(into(&f->body, p), coat_distance(into(&f->body, p)));
    default:
        return 1e9f;
    }
}

stuff figure_stuff(const figure *f, vec3 p)
{
    stuff nearest = STUFF_NONE;
    float least_d = 1e9f;
    for (stuff what = STUFF_SKIN; what <= STUFF_BUTTON; what++) {
        float d = figure_part(f, what, p);
        if (d < least_d) {
            least_d = d;
            nearest = what;
        }
    }
    return nearest;
}
