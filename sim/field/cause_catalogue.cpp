#include "sim/field/cause_catalogue.h"

#include <array>

namespace cornerbench::field {

namespace {

using enum Caution;

constexpr std::array<Caution, 1> adjusting{seals};
constexpr std::array<Caution, 2> in_the_box{mains, seals};
constexpr std::array<Caution, 4> at_a_cell{under_deck, pinching, jacking, seals};
constexpr std::array<Caution, 6> changing_a_cell{jacking, under_deck, pinching, welding, lightning, seals};
constexpr std::array<Caution, 3> around_the_deck{pinching, under_deck, seals};

struct CautionText {
    std::string_view name;
    std::string_view text;
};

constexpr std::array<CautionText, caution_count> cautions{{
    {"jacking",
     "Lift a deck only with jacks made for its weight, on ground that carries them, and block it "
     "before anything else is done; lift no more than the work needs."},
    {"under-deck",
     "Nobody stands or reaches under a deck that only jacks hold, and nothing drives onto it "
     "meanwhile: bar the approach."},
    {"pinching",
     "A deck moves without warning: keep hands and tools away from the gaps at cells, links and stops "
     "while anything can load it."},
    {"mains",
     "A box or an indicator may hold mains: switch off, lock out and test before a cover comes off, "
     "and leave mains parts to an electrician."},
    {"welding",
     "Welding current that returns through a cell destroys it: clamp the return beside the weld, "
     "bridge the cells with copper straps or take them out first."},
    {"lightning",
     "Stay away from deck, cables and box while a thunderstorm is near; after a strike look for "
     "damage in every cell, not only in the one that shows it."},
    {"seals",
     "On a scale used for trade, adjusting, trimming or changing a part breaks a seal. Who may do "
     "that, and who verifies it afterwards, is for local weights-and-measures law to say: call a "
     "licensed technician."},
}};

constexpr std::array<CauseEntry, scale::cause_count> entries{{
    // healthy
    {"nothing is broken",
     "Every part does what its papers say, within their tolerances. Small differences between corners "
     "can remain: that is what trims are for.",
     "All corners show the test weight within a division or so, and the scale comes back to zero.",
     "Corner weights inside the limits, equal cell resistances, empty signals in line with the share "
     "of dead load on each cell.",
     "Nothing to mend. If the corners differ although nothing is broken, trim them.", adjusting},
    // upside-down
    {"a cell mounted against its load arrow",
     "The cell was built in with its load arrow pointing the wrong way, so that load makes its signal "
     "fall instead of rise.",
     "The corner over it reads low by twice its share of the load: what it should add it takes away. "
     "The whole scale loses twice that share wherever the load stands.",
     "The arrow itself. The lifted signal falls as load comes on, with all resistances as they should "
     "be; the dead load gives a negative signal. Exchanged wires of one pair look the same until the "
     "arrow or the colours are seen.",
     "Turn the cell round, then set zero and trim the corners anew. Exchanging its signal wires would "
     "also turn the sign, but leaves the cell stressed the wrong way.",
     changing_a_cell},
    // signal-pair-swapped
    {"S+ and S- exchanged at one cell",
     "The two signal wires of one cell are on each other's terminals, as after a repair by the "
     "colours of another maker.",
     "Like a cell mounted upside down: the corner over it reads low by twice its share.",
     "The lifted signal, named by terminals, has the wrong sign. Colours against the cell's own "
     "certificate tell it from an exchanged excitation pair; no reading does.",
     "Put the two wires right, then set zero. No trim was at fault.", in_the_box},
    // excitation-pair-swapped
    {"E+ and E- exchanged at one cell",
     "The two supply wires of one cell are on each other's terminals, so its bridge is fed the wrong "
     "way round.",
     "Like a cell mounted upside down: the corner over it reads low by twice its share.",
     "The lifted signal has the wrong sign. Colours against the cell's own certificate tell it from "
     "an exchanged signal pair; no reading does.",
     "Put the two wires right, then set zero. No trim was at fault.", in_the_box},
    // crossed-pairs
    {"an excitation and a signal wire exchanged",
     "One supply wire and one signal wire of a cell are on each other's terminals. The bridge is fed "
     "across one arm, and its output pair sits at the supply.",
     "The whole scale is off by far more than any load, often beyond the converter's range; the "
     "corner does not respond as a corner should.",
     "Resistances between the lifted wires: the pair with the highest resistance is not where E+ and "
     "E- are landed.",
     "Measure all six pairs, find the excitation pair by its higher resistance, land the wires right, "
     "set zero.",
     in_the_box},
    // open-wire
    {"a conductor of a cell's cable, or all, is broken",
     "One wire carries nothing: cut, pulled out of its crimp, corroded through, or bitten by an animal. Or "
     "the whole cable is torn off, cut through or unplugged: wire=all.",
     "With one wire gone its corner shows about half of what it should: with one supply wire gone the bridge "
     "still hangs on the other cells through its signal wires, with one signal wire gone half of it still "
     "speaks. With the whole cable gone the corner shows nothing, and the others "
     "share in one cell less and read high: of four cells by a third, of eight by a seventh. Zero moves.",
     "No resistance to the lifted wire, or only that of the insulation; the ohmmeter shows over range. "
     "Between all wires at once: the whole cable.",
     "Look whether the cable is plugged or clamped in at both ends. Find the break (end, gland, a crushed "
     "place), splice it in a sealed joint or change the cable "
     "as the maker of the cell allows: shortening a four-wire cable changes the span.",
     in_the_box},
    // shorted-wires
    {"two conductors of a cell touch",
     "Two wires are in contact: a strand across two terminals, a crushed cable, a nail through it.",
     "Between the signal wires the whole bus is shorted and every corner reads next to nothing. "
     "Between the supply wires this cell falls silent, and the supply sags as far as it is weak. A "
     "wire on the shield shifts zero or drives the display over range; how far depends on where the "
     "shield is bonded.",
     "An ohm or less between two lifted wires where hundreds should be.",
     "Look at the terminals first, then along the cable. Check that the excitation comes back to its "
     "full voltage.",
     in_the_box},
    // wet-leak
    {"moisture lets current pass between two wires",
     "Water in a gland, a cable or a cell makes a path of kilohms to megohms between two conductors "
     "or to the shield. It comes and goes with the weather.",
     "Mostly zero wanders, by tonnes or by nothing, depending on which wires leak and where the "
     "shield is bonded. A leak across the signal pair makes every corner a little low, all alike, for "
     "it loads the whole bus.",
     "Insulation resistance to the shield well below a gigohm, or below its neighbours by ten times; "
     "zero drifting with rain and sun.",
     "Dry and seal the box and its glands; a cell or cable that stays wet is changed.", in_the_box},
    // loose-terminal
    {"a terminal in the box has resistance",
     "A screw is not tight, a wire end is corroded or a ferrule slipped: tenths of an ohm to hundreds "
     "stand in series with one wire.",
     "In a supply wire the corner reads low by about the added ohms over the input resistance. In a "
     "signal wire the cell counts less, by the ohms over the output resistance.",
     "With the wire lifted everything is right, for the fault is in the terminal. In the box: less "
     "excitation at this cell than on the bus, and readings that jump when the wire is moved.",
     "Clean, cut back, crimp and tighten; then repeat the corner test before any trim is touched.",
     in_the_box},
    // altered-cable
    {"a cell's cable was cut or extended",
     "A four-wire cell is rated with the cable it came with. Cutting it leaves less resistance ahead "
     "of the bridge, extending it adds some.",
     "A shorter cable raises its corner and a longer one lowers it: with cells of 350 ohm and "
     "conductors of 0.3 mm2 by near 0.05 % for every metre.",
     "Input resistance a little off, the length itself, a splice.",
     "Trim the corner, or restore the length. Leave the spare length coiled at the box in future.",
     in_the_box},
    // swapped-cells
    {"two cells' cables on each other's terminals",
     "Cell 3's cable sits on the terminals of cell 5 and the reverse. On a summed bus only their "
     "trims are exchanged.",
     "Summed: nothing but the difference of the two trims, each showing at the other's corner. With a "
     "channel per cell each channel answers to the other's corner.",
     "A load over one support moves the signal of the other cell.",
     "Land the cables by their numbers, or exchange the labels and the trim settings.", in_the_box},
    // wrong-cell
    {"a cell of another rating was built in",
     "A replacement with another capacity or rated output: it gives more or less signal for the same load.",
     "Its corner is off by the ratio of the outputs, and so is every load's share on it; zero moved "
     "when it went in.",
     "The plate. Lifted signal per load against its neighbours, with resistances that may differ too.",
     "Fit the right cell. A trim can hide a few per cent at most, and never in a scale for trade.",
     changing_a_cell},
    // shifted-zero
    {"a cell's output without load has moved",
     "Overload, a shock or lightning left the cell with a permanent signal; its answer to load may "
     "still be right.",
     "The scale shows a weight with nothing on it. Once zeroed, the corners agree.",
     "Lifted signal of the empty scale out of line with its share of the dead load, and with its "
     "certificate.",
     "A shift of more than a few per cent of rated output means that the cell was overstrained: "
     "change it. Look for the reason in its mount and stops.",
     changing_a_cell},
    // damaged-arm
    {"one arm of a cell's bridge has changed",
     "Overload, water or lightning changed the resistance of one strain gauge.",
     "A zero shift of about a quarter of the arm's relative change, and a small error at its corner.",
     "Lifted resistances: the four pairs next to each other are no longer alike in pairs.",
     "Change the cell; nothing inside it can be mended on site.", changing_a_cell},
    // weak-output
    {"a cell answers to load with too little signal",
     "A cracked or yielded body, or a glue line that creeps: strain no longer reaches the gauges in full.",
     "Its corner reads low wherever its share of the load is counted; zero and resistances are right.",
     "Lifted signal per load below its neighbours' although it carries the load: the deck does not "
     "stand lower, no link binds.",
     "Make sure first that nothing carries load past the cell. Then change it.", changing_a_cell},
    // trim-off
    {"a corner's trim is out of place",
     "Somebody turned it, it was never set after a cell was changed, or its wiper makes poor contact.",
     "One corner is off by what the trim does, all else is right.",
     "Everything at the lifted cell is as it should be, and the trim's position or resistance is not "
     "as recorded.",
     "Trim the corners; record where each one stands.", in_the_box},
    // rubbing
    {"the deck touches something",
     "Stones between deck and wall, ice, a frozen end gap, a bumper bolt too tight: part of the load "
     "goes into the ground beside the cells.",
     "Corners near the contact read low; loads coming on and going off read differently, and zero "
     "does not come back.",
     "Increasing and decreasing readings of one load, the residue at zero, a look along the gaps.",
     "Clear the gaps all round, check bumpers and check rods for play. The cells and the trims are "
     "not at fault.",
     around_the_deck},
    // bound-support
    {"load passes one cell by",
     "A seized link, a bolt left from transport or rust beside the cell carries a share of every load "
     "past it. What it carried when it bound stays where it was.",
     "Its corner reads low by the share that passes the cell; zero hardly moves.",
     "Signal per load too small with a good cell; the empty signal is right, which a weak cell's is not.",
     "Free the mount: clean, grease or change links and pins, take out transport bolts.", at_a_cell},
    // unseated-support
    {"a gap between deck and cell",
     "The deck does not rest on this support when it is empty: a shim is missing or a plate was left "
     "out. Load closes the gap.",
     "Little in summed weights, as long as all cells answer alike: the others carry what this one "
     "does not. The deck rocks and knocks, readings are slow to settle, and the neighbours are loaded "
     "beyond their share.",
     "Empty signal far below the others; the plate can be turned by hand, a feeler gauge goes in.",
     "Shim until the cells carry their shares of the dead load, then test the corners.", at_a_cell},
    // settled-footing
    {"the ground under one support went down",
     "A footing or a base plate has sunk, so this corner of the deck carries less and the diagonal more.",
     "Hardly any in summed weights while all supports still touch: the same load is shared "
     "differently between good cells.",
     "Empty signals: one diagonal high, the other low, against the drawing or an earlier sheet; a level.",
     "Shim to bring the dead load back, after finding out whether the ground still moves.", at_a_cell},
    // sense-open
    {"a sense wire of the home run is broken",
     "The indicator no longer measures the excitation in the box, but through a fall-back resistor "
     "the one at its own terminal; without that resistor it has no reference at all.",
     "Every corner reads a per cent or two low, all alike; or the display stays blank.",
     "Voltage between the sense terminals below that on the bus; no resistance from end to end of the wire.",
     "Mend the wire. Do not set span to hide it: the error then follows the temperature of the cable.",
     in_the_box},
    // excitation-low
    {"the indicator's supply gives too little",
     "A failing regulator, or one loaded by too many cells or a short; at the end of it, a dead supply.",
     "None at first: the converter compares signal with excitation, so the weight stays while noise grows. "
     "Below a twentieth of its rating there is nothing to compare with, and the display stays blank.",
     "Excitation at the indicator below its rating, and the same in the box.",
     "Lift the cells one by one to see whether one of them pulls it down; if not, the supply is to be "
     "repaired.",
     in_the_box},
    // home-run-loose
    {"a joint in the home run has resistance",
     "A poor terminal in a supply conductor between box and indicator, or one that has come apart.",
     "With six wires almost none, for sensing takes it out, until nothing is left to sense and the display "
     "stays blank. With four wires every corner reads low alike, by the added ohms over the cells' "
     "resistance together.",
     "Excitation in the box lower than at the indicator by more than the cable explains.",
     "Clean and tighten the joint at both ends.", in_the_box},
    // unlisted
    {"something that is not on this list",
     "The readings do not fit any of the causes here, neither alone nor two at once. Three faults look like "
     "this, a scale file that is not this scale's, and an indicator that is dead or has no supply of its "
     "own.",
     "Anything.", "The nearest single cause is set beside the readings, with how far each of them is off.",
     "Take the readings furthest off again, then look with your own eyes.", adjusting},
}};

}  // namespace

std::string_view text_of(Caution caution) {
    return cautions[static_cast<unsigned>(caution)].text;
}

std::string_view name_of(Caution caution) {
    return cautions[static_cast<unsigned>(caution)].name;
}

const CauseEntry& entry_of(scale::Cause cause) {
    return entries[static_cast<unsigned>(scale::index_of(cause))];
}

}  // namespace cornerbench::field
