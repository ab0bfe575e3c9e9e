"""What the room of measured ovens says, by shape, so that `mistakes.spoken` can say it in another language.

Names of a logger's columns, of files and of options stay as they are typed.
"""

from .parts import later

SENTENCES = (
    later("{name} has no {what}, only {names}; if one of its headings means that, say so (columns)."),
    later("columns knows no {role}; it takes {roles}"),
    later("there is no heading {name}; there are {names}"),
    later("no column holds the time; of its headings, {names}, one must be “time”"),
    later("fewer than three of its stamps can be read"),
    later("fewer than three of its stamps differ"),
    later("Rows without a readable stamp, left out: {count}."),
    later("The stamps jump back ({count} times); the rows were put in order."),
    later("Rows that repeat the stamp before them, left out: {count}."),
    later("its stamps run from {first} to {last} UTC in steps of {seconds} s; was the logger's clock reset?"),
    later("The stamps are {low} to {high} s apart; readings were brought to an even {step} s."),
    later("it covers {seconds} s, too short to use"),
    later("{name} holds no numbers and was left out."),
    later("Cells of {name} that are not numbers, taken as missing: {count}."),
    later("{name} says {said} but {unit} was stated; leave one of them out"),
    later("the heading {name} says neither °C nor °F; state it (unit)"),
    later("{name} is {degrees} °C by half of its readings; is it in °F?"),
    later("Readings of {name} beyond {low} to {high}, taken as missing: {count}."),
    later("Readings of {name} that leapt more than {kelvin} K and back, taken as missing: {count}."),
    later("{name}: no readings from {start} for {minutes} min."),
    later("{name}: {count} shorter gaps."),
    later("All columns"),
    later("{names} may all be {role}; choose one (columns)"),
    later("no heading names a temperature; say which is water (columns), of {names}"),
    later("Read as {role}: {names}."),
    later("Not used: {names}."),
    later("{names} and {count} more"),
    later("plane is {plane}; it is 'level' or 'sun', as the light sensor stood"),
    later("unit is {unit}; it is '°C' or '°F'"),
    later("Torn lines, left out: {count}."),
    later("there is no line of headings with rows of readings under it; export the log as CSV"),
    later("{name} is not text; export it from the logger or the spreadsheet as CSV."),
    later("{name} is not in W/m²; multiply it by the sensor's factor in a spreadsheet first"),
    later("its stamps are times without a date; state the first day (date), such as 2026-02-10"),
    later("its stamps can't be read ({text}); write them as 2026-02-10 09:30:00"),
    later("{text} may be day/month or month/day; say whether the day comes first (day_first)"),
    later("it counts the time from its start; state the start (start), such as 2026-02-10 09:30"),
    later("The logger's clock was {ahead}; all its stamps were shifted."),
    later(
        "The logger's clock was {first} at first and {last} after {hours} h; its stamps were set right in"
        " proportion."
    ),
    later("{minutes} min fast"),
    later("{minutes} min slow"),
    later("right"),
    later("its clock comparisons differ by more than a day; give pairs (logger, true clock)"),
    later("the clock comparison {text} can't be read; write 09:30 or 2026-02-10 09:30"),
    later("{name} does not say how its light sensor stood; state whether level or facing the sun (plane)."),
    later("Gaps in the {what} were bridged by straight lines, up to {minutes} min."),
    later("The light sensor faced the sun; light on level ground is computed from it (Erbs's split)."),
    later(
        "The light sensor lay level; light facing the sun is computed from it, to about 5 % on clear "
        "days."
    ),
    later("{name} has no readings of {what} in this part."),
    later(
        "{name} has no light readings for {minutes} min from {time}; up to {most} min can be bridged: use"
        " the part before or after it."
    ),
    later("{points} of {total} intervals were kept and a line needs 3 apart."),
    later("Most often: {reason}."),
    later("No line can be drawn."),
    later("{estimate}; P = {line}, R² {square}, intervals: {points}, days: {days}."),
    later("{what}: {value} (95 %: {low} to {high})"),
    later("{what}: {value}, its interval unknown"),
    later("Standard cooking power at 50 K"),
    later("The wind was not measured in {name}: its rule was not applied."),
    later("The load was {load} kg/m² of intercept area; the standard asks {asked}."),
    later("{name} has a reading every {seconds} s, which does not make up 10 minutes; {rest}"),
    later("R² is below the standard's {least}: the line explains little of the scatter."),
    later("No interval near 50 K: the points span {low} to {high} K, the value is drawn on."),
    later("The days differ by more than their scatter, so the interval rests on the days."),
    later("Standard cooking power needs one load; these are {low} to {high} kg."),
    later(
        "By the light of {name} its clock is about {minutes} min {way}; compare it with a good clock and "
        "state both."
    ),
    later("fast"),
    later("slow"),
    later("F1 {first} K m²/W (stagnation {degrees}); {second}."),
    later("F1 not measured; {second}."),
    later("F2 {value}, grade {grade}"),
    later("F2 not measured"),
    later("The figures are for a box without mirrors: cover them or fold them away for the test."),
    later("F1 needs a log of the empty box."),
    later("F2 needs F1, and a log of water being heated."),
    later("The load was {load} kg/m² of aperture; the test asks {asked}."),
    later("The water was not seen to pass both {low} and {high} °C, so there is no F2."),
    later("The water does not reach {degrees} °C."),
    later("The light was {light} W/m² while the water was timed, below {least}."),
    later("The light was {light} W/m² when the box settled, below {least}."),
    later("There is no F2: {reason}"),
    later(
        "water can't be timed from {low} to {high} °C in a box settling at {most} °C; choose temperatures"
        " below that, the lower first."
    ),
    later("The log of the empty box is too short to see it settle."),
    later("The empty box never settled to within {kelvin} K in {minutes} min, so there is no F1."),
    later(
        "It takes in {light} (95 %: {low} to {high}) of the light of the {oven} in the catalogue; its "
        "walls lose {loss} (95 %: {least} to {most}) W/(m² K), there {there}."
    ),
    later("The model misses the readings by {kelvin} K."),
    later(
        "the logs ask for {light} of the light the {oven} takes in, and spotless it takes {most}; check "
        "its sizes, its mirrors and the light sensor."
    ),
    later("{name}: {load} kg of water needs its pot."),
    later("{name} holds {days} days; make a run of each part of log.days()."),
    later(
        "{name} leaves {count} readings of the {role} after {time} and off the boil; a fit needs at least"
        " {least}, in steps of {seconds} s."
    ),
    later("{name} has no reading of the {role} within 15 min of {time}."),
    later("there is no run to fit; give at least one Run(log, handling, water, pot)."),
    later("A first temperature is far from its readings: check when the water went in."),
    later("the water hardly warms under this sky (to {degrees} °C); choose a better day."),
    later("None of these changes would bring the water to {degrees} noticeably sooner."),
    later(
        "To {degrees} the water takes {minutes} min; first {change}: {saved} min sooner ({low} to "
        "{high})."
    ),
    later(
        "To {degrees} the water takes {minutes} min; first {change}: {saved} min sooner ({low} to "
        "{high}); whether that is better than {other}, these data cannot tell."
    ),
    later("--{name} is {text}; it must be a number."),
    later("--{name} is {text}; it takes {names}."),
    later("--clock is {text}; write logger=clock, such as 08:31=08:31, 17:36=17:30."),
    later("{name}: {reason}."),
)
#: Words that stand in those sentences.
WORDS = (
    later("water"), later("air"), later("cavity"), later("temperature of the glass"), later("irradiance"),
    later("standard cooking power"), later("figures of merit"), later("fit"),
    later("table of improvements"),
)  # fmt: skip
