"""The demonstration starts a real service, sends it real tickets over HTTP and prints what comes back."""

import subprocess
import sys
from pathlib import Path


def test_the_demonstration_prints_loads_limits_pressures_and_cautions(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "axlewright.cli", "demo", "--once"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    lines = ran.stdout.splitlines()
    [drive] = [line for line in lines if "drive 1" in line]
    left, right = drive.split("[")[0], drive.split("]")[1]
    # Hand: the left side of the drive axle read 6,060 lb, the right 5,180 lb, both together 11,300 lb.
    assert 6_060 <= int(left.split()[0].replace(",", "")) <= 6_120
    assert 5_180 <= int(right.split()[0].replace(",", "")) <= 5_240
    assert any(line.startswith("coach") and "18,000" in line and line.endswith("tight") for line in lines)
    assert any("legal-for-trade" in line for line in lines)
