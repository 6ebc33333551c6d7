/* project/settings.h: what the designer chose, for every stage of the flow.
 *
 * Plain values, no pointers, so that they can be compared, copied and stored one by one.
 */
#ifndef TB_PROJECT_SETTINGS_H
#define TB_PROJECT_SETTINGS_H

typedef enum { TB_DETAIL_FINE, TB_DETAIL_MEDIUM, TB_DETAIL_BOLD } tb_detail;

enum { TB_NAME_ROOM = 64 };

typedef struct {
    /* frame */
    double width_mm, height_mm; /* finished size; 0: follows the other and the photograph */
    double crop_x, crop_y, crop_w, crop_h; /* shares of the upright photograph; w or h 0: all */
    double turn_rad;                       /* straightening, clockwise */
    int drawn; /* 1: the photograph is a pattern: what is light is wood, and stays as drawn */
    double px_per_mm; /* 4 … 24 */
    double frame_mm;  /* the frame's width: 6 */
    /* tone and split */
    double darkness; /* -50 … 50; more makes more opening */
    tb_detail detail;
    double evening; /* 0 … 1, how far the light is evened; below 0: chosen from the picture */
    double lines;   /* 0 … 2, strength of line emphasis */
    /* craft */
    char stock[TB_NAME_ROOM]; /* row of facts/stock.h */
    char blade[TB_NAME_ROOM]; /* row of facts/blade.h: "2/0" */
    double grain_rad;
    double bridge_mm;
    int split_line; /* 1: the saw runs on the line, and half a kerf comes off the wood on each side
                     */
    int saw_order;  /* tb_saw_order of pattern/plan.h */
    int tie;        /* 0: islands stay as they are */
    /* sheets */
    char paper[TB_NAME_ROOM]; /* row of facts/paper.h */
} tb_settings;

#define TB_SETTINGS_INIT                                                                           \
    {                                                                                              \
        .px_per_mm = 10, .frame_mm = 6, .detail = TB_DETAIL_MEDIUM, .evening = -1, .lines = 1,     \
        .stock = "birch-ply-6.5", .blade = "1", .grain_rad = 1.5707963267948966, .bridge_mm = 1.6, \
        .tie = 1, .paper = "a4"                                                                    \
    }

#endif
