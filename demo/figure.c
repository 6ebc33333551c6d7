/* The pose, and the parts put together. */
#include "figure.h"
#include "shape.h"

figure figure_pose(void)
{
    figure f;
    f.head = frame_of(vec(0, 0, 0), 0.38f, 0.05f, -0.04f);
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
    if (ball(body, vec(0, -1.9f, -0.1f), 1.6f) < d)
        d = least(d, jersey_distance(body));
    float head_bound = ball(p, vec(0, -0.1f, 0), 2.0f);
    if (head_bound > most(d, 0.3f))
        return least(d, head_bound);
    vec3 head = into(&f->head, p);
    d = least(d, face_distance(head));
    d = least(d, eyeball_distance(head));
    d = least(d, beard_ground_distance(head));
    d = least(d, cap_distance(into(&f->cap, p)));
    return least(d, button_distance(body));
}

stuff figure_stuff(const figure *f, vec3 p)
{
    vec3 head = into(&f->head, p), body = into(&f->body, p);
    const float distance[] = {face_distance(head), eyeball_distance(head),
            beard_ground_distance(head), cap_distance(into(&f->cap, p)), coat_distance(body),
            jersey_distance(body), button_distance(body)};
    static const stuff STUFF[] = {
            STUFF_SKIN, STUFF_EYE, STUFF_BEARD, STUFF_CAP, STUFF_COAT, STUFF_JERSEY, STUFF_BUTTON};
    int nearest = 0;
    for (int i = 1; i < 7; i++)
        if (distance[i] < distance[nearest])
            nearest = i;
    return STUFF[nearest];
}
