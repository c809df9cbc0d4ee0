"""Worked examples for commands that are made from the catalogue. All brews are invented.

The examples of the acts tell the life of one brew, in the order of the work, and a second one that goes wrong; a test
carries all of them out, in this order, in one new book.
"""

from __future__ import annotations

ACT_EXAMPLES: dict[str, tuple[str, ...]] = {
    "plan": (
        "gylebook log new plan --name 'Autumn bitter' --volume '21 L' --when '2026-09-05 10:00'",
        "gylebook log new plan --name 'Wheat in the loft' --place loft --when '2026-09-05 11:00'",
    ),
    "clean": (
        (
            "gylebook log 1 clean --what 'bucket, lid and tap' --agent acid_sanitiser --contact '5 min' "
            "--when '2026-09-06 10:00'"
        ),
    ),
    "mix": (
        (
            "gylebook log 1 mix --ingredients '1.7 kg liquid malt extract' --ingredients '1 kg dried malt extract' "
            "--volume '20.5 L' --temp 21 --when '2026-09-06 11:00'"
        ),
    ),
    "top_up": ("gylebook log 1 top_up --water '0.5 L' --stirred well --when '2026-09-06 11:10'",),
    "reading": (
        "gylebook log 1 reading --gravity 1.042 --temp 21 --stirred well --when '2026-09-06 11:20'",
        "gylebook log 1 reading --gravity 1.011 --temp 68F --fizz flat --when '2026-09-21 18:00'",
        "gylebook log 1 reading --gravity 1,011 --temp 20 --fizz flat --when '2026-09-25 18:00'",
    ),
    "pitch": (
        (
            "gylebook log 1 pitch --yeast 'dry ale yeast' --mass '11 g' --how sprinkled --temp 20 "
            "--when '2026-09-06 11:30'"
        ),
    ),
    "temperature": ("gylebook log 1 temperature --temp 19.5 --of beer --low 18 --high 21 --when '2026-09-07 08:00'",),
    "rouse": ("gylebook log 1 rouse --how 'swirled with the lid closed' --when '2026-09-08 08:00'",),
    "move": ("gylebook log 1 move --place kitchen --temp 20 --when '2026-09-08 08:10'",),
    "add": ("gylebook log 1 add --what 'orange peel' --mass '20 g' --purpose flavour --when '2026-09-12 18:00'",),
    "hop": (
        (
            "gylebook log 1 hop --hop Sedgeway --mass '40 g' --form pellets --bagged --planned-days 3 "
            "--when '2026-09-14 18:00'"
        ),
    ),
    "hops_out": ("gylebook log 1 hops_out --when '2026-09-17 18:00'",),
    "judge": (
        "gylebook log 1 judge --verdict finished --because '1.011 twice in four days' --when '2026-09-25 18:10'",
    ),
    "rack": ("gylebook log 1 rack --vessel 'bottling bucket' --volume '20 L' --when '2026-09-26 18:00'",),
    "prime": (
        (
            "gylebook log 1 prime --sugar sucrose --mass '100 g' --volume '20 L' --syrup-water '250 mL' "
            "--when '2026-09-26 18:20'"
        ),
    ),
    "filling": (
        "gylebook log 1 filling --what begun --volume '20 L' --cap-code A1 --when '2026-09-26 18:30'",
        "gylebook log 1 filling --what paused --when '2026-09-26 18:40'",
    ),
    "fill": (
        "gylebook log 1 fill --bottle 'brown halves' --count 10 --when '2026-09-26 18:35'",
        "gylebook log 1 fill --bottle PET --size '500 mL' --indicator --when '2026-09-26 18:50'",
    ),
    "bottle": (
        (
            "gylebook log 1 bottle --lots '30 x 500 mL brown returnable' --lots '12 x 330 mL one-way, last' "
            "--place cellar --cap-code A1 --when '2026-09-26 19:00'"
        ),
        "gylebook log 2 bottle --lots '20 x 500 mL unknown glass' --when '2026-09-28 19:00'",
    ),
    "open_bottle": ("gylebook log 1 open_bottle --fizz 3 --gushed no --when '2026-10-10 19:00'",),
    "vent": ("gylebook log 2 vent --temp 4 --count 19 --when '2026-10-08 20:00'",),
    "burst": ("gylebook log 2 burst --note 'found in the morning' --when '2026-10-08 08:00'",),
    "take_out": ("gylebook log 1 take_out --count 6 --to given --when '2026-10-17 18:00'",),
    "taste": (
        (
            "gylebook log 1 taste --score 7 --words 'dry and hoppy' --again yes --change 'a little warmer' "
            "--when '2026-10-17 19:00'"
        ),
    ),
    "note": ("gylebook log 1 note --text 'the neighbours liked it' --when '2026-10-18 10:00'",),
    "close": ("gylebook log 1 close --lesson 'more hops, and earlier' --when '2026-11-01 18:00'",),
    "dump": ("gylebook log 2 dump --because 'sour, and a smell of plaster' --when '2026-11-01 18:10'",),
}

CORRECT_EXAMPLES: tuple[str, ...] = (
    "gylebook log 1 correct --because 'misread' 5 reading --gravity 1.041",
    "gylebook log 1 correct 4 --withdraw --because 'no water went in'",
)

ASK_EXAMPLES: dict[str, tuple[str, ...]] = {
    "plan": ("gylebook ask 1 plan --volume '18 L'",),
    "tasting": ("gylebook ask 1 tasting --faults butter",),
    "mixing": ("gylebook ask 1 mixing --volume '21 L' --tap-temp 8",),
    "readings": ("gylebook ask 1 readings --expected 1.050 --working",),
    "pitching": ("gylebook ask 1 pitching --temp 24 --mass '7 g'",),
    "dry_hopping": ("gylebook ask 1 dry_hopping --mass '60 g' --days 3",),
    "finishing": ("gylebook ask 1 finishing --gravity 1.011",),
    "racking": ("gylebook ask 1 racking --cold 4",),
    "priming": (
        "gylebook ask 1 priming --co2 2.4 --warmest 20",
        "gylebook ask 1 priming --bottles '40 x 500 mL brown returnable' --working",
    ),
    "bottling": ("gylebook ask 1 bottling --co2 2.6 --bottles '24 x 500 mL brown returnable' --store 28",),
    "conditioning": ("gylebook ask 1 conditioning --temp 12",),
    "cleaning": ("gylebook ask 1 cleaning --agent bleach --water '5 L'",),
}

SHELF_EXAMPLES: dict[str, tuple[str, ...]] = {
    "keep_kit": (
        (
            "gylebook shelf keep_kit --name 'Golden kit' --ingredients '1.7 kg liquid malt extract' --volume '23 "
            "L' "
            "--alternatives 'malt: 1 kg dried malt extract; bottle at 1.014; final 1.010 to 1.014' "
            "--alternatives 'sugar: 1 kg sugar; bottle at 1.006; final 1.004 to 1.006'"
        ),
    ),
    "keep_instrument": (
        "gylebook shelf keep_instrument --name 'long hydrometer' --ref-temp 20 --shows-in-water 1.001",
    ),
    "keep_vessel": ("gylebook shelf keep_vessel --name 'white bucket' --capacity '30 L' --marks '23 L holds 22.4 L'",),
    "keep_place": ("gylebook shelf keep_place --name cellar --low 10 --high 16 --months '7: 14 to 19 °C'",),
    "keep_bottles": (
        "gylebook shelf keep_bottles --name 'brown halves' --kind returnable_500 --size '500 mL' --count 60",
    ),
    "keep_stock": ("gylebook shelf keep_stock --item 'table sugar' --what sugar --amount '2 kg'",),
    "keep_settings": ("gylebook shelf keep_settings --temperature °C --time-zone Europe/London",),
    "keep_lessons": ("gylebook shelf keep_lessons --what forget --until 2026-06-30",),
    "warm_spell": ("gylebook shelf warm_spell --place cellar --high 34 --from-on 2026-10-24 --to-on 2026-10-25",),
    "forget": ("gylebook shelf forget --thing stock --name 'table sugar'",),
}
