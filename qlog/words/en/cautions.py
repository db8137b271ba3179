"""Cautions beside operations that can hurt, in English: short, and in our own words."""

TEXTS: dict[str, str] = {
    "caution.spindle": (
        "Eye protection on; no gloves, rings or loose sleeves; long hair tied up and covered. "
        "Key out of the chuck. Stop the spindle before you measure or clear chips."
    ),
    "caution.eyes": "Eye protection on; long hair tied back; gloves only where nothing turns.",
    "caution.swarf": (
        "Break the chip. Stop, then take stringy swarf with a hook or pliers, never fingers."
    ),
    "caution.parting": (
        "Short overhang, blade on centre. Let the piece drop into a tray: it is hot and sharp."
    ),
    "caution.breakthrough": (
        "Clamp the piece. Ease off as the drill breaks through. Power off before tapping by hand."
    ),
    "caution.cutter": (
        "Spanner off the drawbar, work clamped. Brush for chips, never a hand or a rag. Deburr "
        "before you handle the piece."
    ),
    "caution.mandrel": "Check the grip and the direction of the thread. Start slow. Face shield.",
    "caution.woodturning": (
        "Look the blank over for cracks and loose knots. Rest close, turned by hand once round, "
        "start slow, out of the line of throw. Face shield."
    ),
    "caution.saw": (
        "Guard close to the work, blade sharp and tight. Push with a stick, clamp round bar; it "
        "wants to roll. No gloves near a band that runs."
    ),
    "caution.reciprocating": (
        "Keep clear of the whole stroke; clamp against it. Never reach across the ram."
    ),
    "caution.wheel": (
        "Look at the wheel and ring it before it is fitted; never above its speed. Guard and "
        "rest in place, stand aside while it runs up. Never on its side; no aluminium on a "
        "wheel for steel."
    ),
    "caution.abrasive": (
        "Abrasive on a backing, never wrapped round the work or the fingers; no gloves, hands "
        "clear of chuck and jaws. Held by hand: press lightly and let go at once when it grabs."
    ),
    "caution.buff": (
        "A buffing wheel grabs: work below the middle, edges trailing, a firm grip, no gloves. "
        "Never hold thin, looped or small things in the fingers."
    ),
    "caution.edges": (
        "Fresh edges and tools cut: a handle on every file, cut away from the hand, deburr "
        "before you handle."
    ),
    "caution.blast": (
        "Closed cabinet with extraction; no quartz sand, its dust scars the lungs. Earth it "
        "against static."
    ),
    "caution.jet": (
        "The jet cuts and injects through skin; such a wound is an emergency even when it looks "
        "small. Never reach in."
    ),
    "caution.press": (
        "Hands out of the press; guards on, work square and supported. Things under load can "
        "burst: shield, and stand aside. One person works the control."
    ),
    "caution.forming": (
        "Keep hands out of the line of blow and out of the bend; tools without mushroomed heads "
        "or cracks; hold the work with tongs or a clamp."
    ),
    "caution.stored-energy": (
        "Let pressure, springs and raised weights down, switch off and secure before you reach in."
    ),
    "caution.compressed-air": (
        "Compressed air never at skin, clothes or a bench full of chips; reduced pressure, a "
        "safety nozzle, hearing protection."
    ),
    "caution.sparks": (
        "Sparks fly far and smoulder: nothing that burns near, wheels and extraction free of "
        "other metals' dust."
    ),
    "caution.dust": (
        "Extract dust where it is made, wear a fitting mask, damp or vacuum it up, never blow "
        "it away. What is in alloys and coatings is in the dust."
    ),
    "caution.metal-dust": (
        "Dust and fine chips of aluminium, magnesium, titanium burn and explode: no sparks, "
        "never mixed with steel's, no build-up in ducts. Burning magnesium never with water: "
        "dry sand or a class D extinguisher."
    ),
    "caution.wood-dust": (
        "Wood dust explodes and harms the airways, some woods as much as poisons: extraction "
        "and a mask, no flame or spark near."
    ),
    "caution.noise": "Loud: hearing protection.",
    "caution.molten": (
        "Molten metal spits where there is damp: everything dry and preheated. Face shield, "
        "apron, closed shoes, a dry floor that does not burn; no one alone."
    ),
    "caution.hot": (
        "Hot metal looks like cold: tongs, heat-proof gloves (never at a machine that turns), "
        "and a mark on what still cools."
    ),
    "caution.flame": "Nothing that burns near; extinguisher at hand; look again an hour later.",
    "caution.arc": (
        "The arc burns eyes and skin, others' too: the right filter, covered skin, a screen. No "
        "solvent vapour near."
    ),
    "caution.gas": (
        "Gas bottles upright, chained and away from heat; hoses and flashback arrestors "
        "checked; air the room, gas displaces it or explodes."
    ),
    "caution.laser": (
        "Only with its enclosure and interlocks; goggles for its wavelength; nothing that "
        "mirrors in the beam. It sets things alight."
    ),
    "caution.electricity": (
        "Switch off and unplug before you reach in; dry hands, sound leads, a residual-current "
        "device. Repairs are for an electrician."
    ),
    "caution.fumes": (
        "Fumes harm: extraction at the source and fresh air. Take off zinc, cadmium, lead, "
        "paint and oil before heat; never heat plastics unknown to you."
    ),
    "caution.quench": (
        "Oil flares up: lid and extinguisher at hand, never water on it. Put it in at once and "
        "whole; nothing wet into oil or salt."
    ),
    "caution.salts": (
        "Hot salts and lyes burn, and spit with the least damp: dry and preheat all that goes in."
    ),
    "caution.acid": (
        "Acids and lyes: face shield, apron, gloves that stand them; eye wash within reach. "
        "Acid into water, never water into acid. Never mix baths; some give off poison gas."
    ),
    "caution.solvent": (
        "Fresh air; gloves that stand it, but off at the machine; no flame or spark; no "
        "smoking. Rags into a lidded bin."
    ),
    "caution.adhesive": (
        "Adhesives and resins: none on the skin, some make allergic for good and some bond "
        "fingers at once. Fresh air, gloves, small amounts; a big one can boil and smoke as it "
        "sets."
    ),
    "caution.spray": (
        "Spray mist and its dust catch fire and harm the lungs: booth with extraction, the "
        "right mask, no spark. Two-part paints may hold isocyanates: a trained person with fed "
        "air."
    ),
    "caution.oily-rags": (
        "Rags with drying oil catch fire by themselves: spread them out of doors or keep them "
        "under water in a lidded tin."
    ),
    "caution.disposal": (
        "Spent baths, solvents, resins and slurry go to the collection of hazardous waste, "
        "labelled; nothing down the drain."
    ),
    "caution.licensed": (
        "This is work for a licensed shop unless you are trained and equipped for it."
    ),
    "caution.defer": (
        "The machine's manual, the safety data sheets, local rules and trained or licensed "
        "people come first."
    ),
}
