"""The capture plan: the fewest captures that serve all placements of a shot, exactly. Pure: numbers in, numbers out.

    problem     what is asked: placements, camera, hero, margin; refuses what cannot be planned, with a sentence
    reading     the same from plain data, as a command or a page sends it
    geometry    one placement's window in the scene, the density that a camera gives, framing and crops
    windows     the windows of a problem as arrays; which placements ride in others' captures
    subsets, positions   the maximal sets that one capture serves with a given spare, two ways
    floating    where windows lie whose hero may be smaller than its zone
    cover, bound, masks   the fewest of those sets that hold all; sets as bit masks
    search      the three aims in order
    plan        the answer: captures with their crops, what is not served
    report      the answer as plain data and as sentences
    stitch, resolution, lens, levers   tiles and ground plates; ppi; focal length, distance, turns; what would change it
    added, reshoot   a format that comes on the day, and which frame to take again for it
    overlay, marks   the pictures that the operator lays over live view, in strips

Assumed: one camera position for all captures of a shot; pixels are not resolved detail (lens, focus and diffraction
are not modelled).
"""
