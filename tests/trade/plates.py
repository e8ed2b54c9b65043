"""The dividing plates that handbooks print: the numbers of holes in the circles of each plate."""

# Source: Brown & Sharpe, Practical Treatise on Milling
PLATE_SET_A = (
    (15, 16, 17, 18, 19, 20),
    (21, 23, 27, 29, 31, 33),
    (37, 39, 41, 43, 47, 49),
)
# Source: Navy Machinery Repairman, chapter 7
PLATE_SET_B = (
    (24, 25, 28, 30, 34, 37, 38, 39, 41, 42, 43),
    (46, 47, 49, 51, 53, 54, 57, 58, 59, 62, 66),
)
