"""Does the bracket flex: finite elements on the written STEP file.

Glossary
- **Ring**: the annulus a bolt head presses on, imprinted on the plate's faces before meshing; clamped there.
- **Wall**: the inside of the hole the sensor sits in; the sensor hangs on it as one rigid body.
- **Shake**: a steady acceleration of the whole bracket and its sensor, as a multiple of gravity.
- **Order**: cycles of shaking in one turn of the crank.

Inside this folder lengths are mm, forces N, stresses MPa, masses tonnes and times s, so that no factor is needed
anywhere; what goes in and comes out is in kg. Nothing here knows of jobs but `bracket`, `proposals` and `findings`.
"""
