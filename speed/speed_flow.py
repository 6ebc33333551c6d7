"""The flow and the hand, on the demo photograph: what a designer waits for."""

import pathlib
import subprocess
import sys
import tempfile

build = pathlib.Path(__file__).resolve().parent.parent / "build"
with tempfile.TemporaryDirectory() as folder:
    photo = f"{folder}/keeper.jpg"
    subprocess.run([build / "demo/keeper", photo], check=True, stdout=subprocess.DEVNULL)
    sys.exit(subprocess.run([build / "speed/flow_times", photo]).returncode)
