"""tb_likeness() beside OpenCV's GaussianBlur of the difference, at full resolution."""

from ctypes import c_double

import tap

cv2, np = tap.needs("cv2", "numpy")

import judged  # noqa: E402


def likeness_by_opencv(wood, tone, cut, weight, px_per_mm):
    over = tone - cut
    want = np.clip(0.5 + 0.5 * np.where(over < 0, over / cut, over / (100 - cut)), 0, 1)
    blurred = cv2.GaussianBlur((wood - want).astype(np.float32), (0, 0), 0.58 * px_per_mm,
                               borderType=cv2.BORDER_REPLICATE)
    return 1 - np.sqrt((weight * blurred ** 2).sum() / weight.sum())


@tap.test
def agrees_with_opencv_at_any_resolution():
    rng = np.random.default_rng(4)
    for px_per_mm in (5.0, 10.0, 24.0):
        shape = (int(40 * px_per_mm), int(50 * px_per_mm))
        noise = rng.normal(0, 1, shape).astype(np.float32)
        tone = cv2.GaussianBlur(noise, (0, 0), 1.5 * px_per_mm)
        tone = np.clip(50 + 25 * tone / tone.std(), 0, 100).astype(np.float32)
        wood = cv2.GaussianBlur(tone, (0, 0), 0.5 * px_per_mm) > 47
        weight = np.linspace(0.2, 1, shape[1], dtype=np.float32)[None].repeat(shape[0], 0)
        with judged.mask(wood, px_per_mm) as m, judged.plane(tone, px_per_mm) as t, \
                judged.plane(weight, px_per_mm) as w:
            ours = judged.call("tb_likeness", m, t, 47.0, w, None, out=c_double)
        theirs = likeness_by_opencv(wood, tone, 47.0, weight, px_per_mm)
        assert abs(ours - theirs) < 2e-3, (px_per_mm, ours, theirs)


tap.run()
