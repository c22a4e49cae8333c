"""Decals: what is printed, whether it fits and can be read, and how it lies on the paper.

`colour`, `difference` and `film` say what a print looks like on a paint; `legibility` whether it
can be read; `typeface`, `lettering`, `vector_art` and `artwork` make outlines in millimetres;
`panel`, `habit` and `placing` lay items on a car; `cut_line` draws where to cut; `nest` fills
sheets; `apply_plan` lists the steps; `livery` carries a scheme to another casting.

Places are in millimetres, x to the right and y down, as on paper. A panel is seen from outside.
"""
