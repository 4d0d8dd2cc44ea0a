"""Remarks on how a photo was taken: sharpness, light, nearness, and whether it was there before."""

from lesioncompare.registry.kinds import NoticeKind
from lesioncompare.terms import Level

TRIED = "set on simulated photos of one range of seeds, tried on another"
PRACTICE = "common practice, no source"
HASHES = "simulated photos: 100 re-saved copies lay within 14 bits, 40 new photos beyond 61"

COPY_NOTICES = (
    NoticeKind(
        key="same_file",
        level=Level.RETAKE,
        says="This is the same file as the photo from {earlier}.",
        do="Give another photo.",
        vet="Byte for byte the photo from {earlier}; not counted again.",
        rule="equal SHA-256 of the file",
        source="FIPS 180-4",
    ),
    NoticeKind(
        key="same_picture",
        level=Level.RETAKE,
        says="This is the same picture as the photo from {earlier}, saved once more.",
        do="Give another photo.",
        vet="Pixel for pixel the photo from {earlier}; not counted again.",
        rule="every decoded pixel equal",
        source="the photos themselves",
    ),
    NoticeKind(
        key="looks_copied",
        level=Level.RETAKE,
        says="This looks like a copy of the photo from {earlier}.",
        do="If it is a photo of its own, take one more; otherwise give another one.",
        vet="{bits:.0f} of 256 bits of the hash away from the photo of {earlier}; not counted.",
        rule="at most 16 of 256 bits of a DCT hash differ, over eight turned and mirrored views",
        source=HASHES,
    ),
    NoticeKind(
        key="taken_together",
        level=Level.NOTE,
        says="This was taken right beside the photo from {earlier} and counts as its repeat.",
        do="Nothing: repeats show how well the spot can be measured.",
        vet="Same sitting as the photo from {earlier}; a repeat, not a visit of its own.",
        rule="at most 40 of 256 bits differ and capture times within two minutes",
        source=HASHES,
    ),
)

PLACE_NOTICES = (
    NoticeKind(
        key="too_coarse",
        level=Level.RETAKE,
        says="The spot is too far away: one millimetre has only {px_per_mm:.0f} pixels.",
        do="Go nearer, about a hand's length, and send the photo itself rather than through a "
        "messenger, which shrinks it.",
        vet="{px_per_mm:.1f} px/mm at the spot; at least 10 are needed.",
        rule="under 10 pixels per millimetre at the spot",
        source="a border off by half a pixel is then 7 % of the area of a 3 mm spot; " + PRACTICE,
    ),
    NoticeKind(
        key="spot_too_small",
        level=Level.RETAKE,
        says="The spot has only {across_px:.0f} pixels across, too few to measure.",
        do="Go nearer, about a hand's length, or draw the circle anew if it was too small.",
        vet="{across_px:.0f} px across the circle; at least 20 are needed.",
        rule="under 20 pixels across the circle round the spot",
        source=PRACTICE,
    ),
    NoticeKind(
        key="spot_cut",
        level=Level.RETAKE,
        says="The spot is cut off by the edge of the photo.",
        do="Take it again with the spot and the sticker well inside the picture.",
        vet="More than a tenth of the circle lies outside the photo.",
        rule="over 10 % of the circle outside the photo",
        source=PRACTICE,
    ),
    NoticeKind(
        key="sticker_over_spot",
        level=Level.RETAKE,
        says="The sticker lies on part of the spot.",
        do="Lay it beside the spot, a few millimetres away.",
        vet="More than a tenth of the circle lies under the sticker.",
        rule="over 10 % of the circle hidden by the sticker",
        source=PRACTICE,
    ),
    NoticeKind(
        key="opening",
        level=Level.DOUBT,
        says="What is circled is so dark that it looks like an opening, such as a nostril, and "
        "not like a spot.",
        do="Check the circle; if it is a spot, take the photo again with light from the front.",
        vet="{percent:.0f} % of the inner circle reflects under 2 %: less than the surface of "
        "black skin; an opening or a deep shadow.",
        rule="reflectance under 0.02 on over 30 % of the inner circle (0.7 of its radius)",
        source="Fresnel reflection at an index of 1.42 is 3 %; threshold " + TRIED,
    ),
    NoticeKind(
        key="hardly_a_spot",
        level=Level.DOUBT,
        says="Hardly anything in the circle stands out from the skin around it.",
        do="Check that the circle is round the spot; if it is, draw the edge by hand.",
        vet="Spot against skin: the 95 % interval of ΔE00 begins below 1; border hardly defined.",
        rule="the 95 % interval of the spot's colour against the skin begins below 1 ΔE00",
        source="CIE 142-2001: about 1 ΔE00 is the least that is seen side by side (from memory)",
    ),
    NoticeKind(
        key="sticker_far",
        level=Level.DOUBT,
        says="The sticker lies {gap_mm:.0f} mm away from the spot; sizes are less sure.",
        do="Lay it nearer to the spot, as flat as the skin there.",
        vet="{gap_mm:.0f} mm from sticker to spot: on curved skin they hardly lie in one plane.",
        rule="over 15 mm between sticker and circle",
        source="on a head of 30 mm radius the skin has then fallen 3.75 mm; 1 mm at 150 mm "
        "distance is 1.35 % of the area",
    ),
)

SHARPNESS_NOTICES = (
    NoticeKind(
        key="blurred_badly",
        level=Level.RETAKE,
        says="The photo is too blurred to measure the spot.",
        do="Rest your hand, tap on the spot so that it comes into focus, and take it again.",
        vet="Blur of {blur_mm:.2f} mm (standard deviation) over the sticker's edges.",
        rule="blur over 0.30 mm standard deviation on the sticker's edges",
        source="ISO 12233:2023 (edge profile); threshold " + TRIED,
    ),
    NoticeKind(
        key="blurred",
        level=Level.DOUBT,
        says="The photo is a little blurred; the edge of the spot is less sure.",
        do="Rest your hand and tap on the spot so that it comes into focus.",
        vet="Blur of {blur_mm:.2f} mm (standard deviation) over the sticker's edges.",
        rule="blur over 0.19 mm standard deviation on the sticker's edges",
        source="ISO 12233:2023 (edge profile); threshold " + TRIED,
    ),
    NoticeKind(
        key="spot_out_of_focus",
        level=Level.DOUBT,
        says="The sticker is sharp, but the skin round the spot is not.",
        do="Tap on the spot, not on the sticker, so that it comes into focus.",
        vet="No edge near the spot is sharper than 0.45 mm while the sticker's are blurred by "
        "{blur_mm:.2f} mm; or the skin is featureless.",
        rule="strongest edges at the spot over 0.45 mm and 2.5 times the sticker's blur",
        source="Zhuo S, Sim T (2011) Pattern Recognition 44:1852; threshold " + TRIED,
    ),
)

LIGHT_NOTICES = (
    NoticeKind(
        key="too_dark",
        level=Level.RETAKE,
        says="The photo is too dark.",
        do="Take it again by a window or under a lamp.",
        vet="A white sheet would have under 7 % of the sensor's range.",
        rule="white under 7 % of full scale in linear light",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="dark",
        level=Level.DOUBT,
        says="The photo is rather dark; colours are less sure.",
        do="Use more light next time: a window or a lamp.",
        vet="A white sheet would have under 15 % of the sensor's range.",
        rule="white under 15 % of full scale in linear light",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="burnt_out",
        level=Level.RETAKE,
        says="The photo is too bright: the skin round the spot is washed out.",
        do="Take it again without flash and out of the sun; tap on the spot to set the brightness.",
        vet="A channel is clipped in {percent:.0f} % of spot and skin.",
        rule="a channel clipped in over 40 % of spot and skin beside it",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="clipped",
        level=Level.DOUBT,
        says="Part of the skin is so bright that its colour is lost.",
        do="Take the next one in softer light, without flash.",
        vet="A channel is clipped in {percent:.0f} % of spot and skin.",
        rule="a channel clipped in over 8 % of spot and skin beside it",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="glare",
        level=Level.RETAKE,
        says="A reflection covers the spot.",
        do="Turn a little, so that the light does not mirror, and take it again without flash.",
        vet="White shine over {percent:.0f} % of the spot.",
        rule="reflectance over 0.6 in every channel on over 35 % of the spot",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="shine",
        level=Level.DOUBT,
        says="A reflection lies on part of the spot.",
        do="Turn a little, so that the light does not mirror, and leave the flash off.",
        vet="White shine over {percent:.0f} % of the spot (or white hair on it).",
        rule="reflectance over 0.6 in every channel on over 10 % of the spot",
        source="threshold " + TRIED,
    ),
    NoticeKind(
        key="colour_cast",
        level=Level.DOUBT,
        says="The light is very {tint}; colours are less sure.",
        do="Take the next one by daylight or under a plain white lamp.",
        vet="Strong {tint} cast: blue over red of a white sheet outside 0.25 to 2.5.",
        rule="blue over red of a white sheet outside 0.25 to 2.5 in linear light",
        source="a black body of 3500 K has 0.26; threshold " + TRIED,
    ),
    NoticeKind(
        key="shadow",
        level=Level.DOUBT,
        says="A shadow seems to fall across the skin round the spot.",
        do="Take the next one with light from all around, your hand and phone out of its way.",
        vet="Skin on one side of the spot is over twice as bright as on the other, of one hue.",
        rule="opposite sides of the ring apart by a factor of 2.5 in light, log red over green by "
        "under 0.2",
        source="threshold " + TRIED,
    ),
)
JUDGED_NOTICES = (*COPY_NOTICES, *PLACE_NOTICES, *SHARPNESS_NOTICES, *LIGHT_NOTICES)
