"""Sections that are brought into a job which has none: as a starter for the same wheel would write them."""

from __future__ import annotations

from wheelcad.job.models import Job

# Sections that no starter has, with what each needs.
BROUGHT = {
    "adapter": "{length: 12, outside_diameter: 100, pilot: {diameter: 69.95, length: 2}}",
    "survey": "{readings: [{from: centre, to: m1, is: 158.6}]}",
    "cam": "{sensor: {kind: hall, at: 90 deg}}",
    "controller": "{arming: 0}",
    "tolerances": "{centring: 0.05}",
}


def starter_section(job: Job | None, units: str, name: str) -> str:
    """YAML of a whole section that fits a job's wheel, in its units: the starter's where it has one."""
    from wheelcad.job.starter import starter_text

    text = starter_text(
        pattern=f"{job.wheel.teeth}-{job.wheel.missing}" if job is not None and not job.wheel.gaps else None,
        diameter=f"{job.wheel.outside_diameter:.4g} mm" if job is not None else None,
        units=units,
        form=job.wheel.form if job is not None else None,
    )
    lines = text.split("\n")
    start = next((n for n, line in enumerate(lines) if line.startswith(f"{name}:")), None)
    if start is None:
        return BROUGHT.get(name, "{}")
    end = next((n for n in range(start + 1, len(lines)) if not lines[n].startswith(" ")), len(lines))
    first = lines[start].partition(":")[2].strip()
    return "\n".join(["" if not first or first.startswith("#") else first, *lines[start + 1 : end]])
