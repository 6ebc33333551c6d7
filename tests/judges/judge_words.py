"""What is said in several places says the same: the cautions of src/facts and of the README."""

import ctypes
from pathlib import Path

import tap

tap.needs("numpy")
import judged

README = " ".join((Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8").split())


@tap.test
def the_readme_shows_every_caution():
    at = judged.lib.tb_caution_at
    at.restype = ctypes.c_char_p
    cautions = [at(i).decode() for i in range(100) if at(i)]
    assert len(cautions) >= 9
    for caution in cautions:
        assert caution in README, caution


@tap.test
def the_readme_says_whose_the_photograph_is():
    permission = judged.lib.tb_caution_permission
    permission.restype = ctypes.c_char_p
    assert permission().decode() in README


tap.run()
