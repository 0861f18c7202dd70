"""What is marked on tires, and tables that were sent for them."""

from axlewright.contract.finding_words.words import TIRE_ROOMS, Words
from axlewright.contract.words import CALLER, COMMON_PRACTICE
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "designation_not_read": Words(
        "A tire's designation could not be read.",
        "The designation “{designation}” on {subject} could not be read: no table and no estimate can be found for it.",
        "Send the size as marked on the sidewall, or the tire maker's table.",
        "Usual grammars of tire designations",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "dash_read_as_bias": Words(
        "A dash in a designation was read as bias construction.",
        "The dash in “{designation}” on {subject} was read as bias construction; estimates take the more cautious "
        "radial law.",
        "Send the size with R if the tire is radial.",
        "Usual grammars of tire designations",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "passenger_tire_derated": Words(
        "A passenger-car tire counts as less on this vehicle.",
        "“{designation}” on {subject} reads as a passenger-car tire: its rating is divided by 1.10 on this vehicle.",
        "Check that the tire is meant for this vehicle.",
        "49 CFR 571.110 and 571.120 S5.1.2",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "load_index_governs": Words(
        "A tire's load index gives less than its marked load.",
        "The load index in “{designation}” on {subject} gives less than the maximum load that was entered; it governs.",
        "Compare the entry with the sidewall.",
        "ISO 4000-1, ISO 4209-1",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "marking_contradicts_table": Words(
        "The marked load is more than the published table of the size gives at the marked pressure.",
        "{marked} at {pressure} was entered for “{designation}” on {subject}; the published table gives {table} there. "
        "The lower counts.",
        "Read maximum load and pressure on the sidewall again, and the load range; if they are right, send the tire "
        "maker's table as `tire_tables`.",
        "Published load/inflation rows of the size, load range and fitment",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "pressure_unusual_for_load_range": Words(
        "The marked pressure is unusual for the load range.",
        "{marked} was entered as most for “{designation}” on {subject}, load range {load_range}, on which {least} to "
        "{most} is usual.",
        "Read load range and maximum pressure on the sidewall again.",
        "Usual pressures of load ranges, published charts; no law ties them",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "tire_not_for_vehicle": Words(
        "A special-trailer tire is on a motor vehicle.",
        "“{designation}” on {subject} is a special-trailer tire: it is made for trailers only.",
        "Do not drive like this. Fit tires made for the vehicle.",
        "Tire and Rim Association, special-trailer (ST) service, from memory; 49 CFR 571.110 and 571.120",
        (Severity.CRITICAL,),
        TIRE_ROOMS,
    ),
    "temporary_spare_fitted": Words(
        "A temporary spare is fitted.",
        "“{designation}” on {subject} is a temporary spare: it is not for trips.",
        "Drive no farther than to a tire dealer, slowly, and fit a full tire.",
        "Temporary spare (T type), 49 CFR 571.110 and 571.139, from memory",
        (Severity.CRITICAL,),
        TIRE_ROOMS,
    ),
    "tires_differ": Words(
        "The tires of an axle differ.",
        "The tires left and right on {subject} differ in size, load range or rating.",
        "Fit tires of one kind on an axle.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "table_no_such_tire": Words(
        "A table that was sent belongs to no tire of the rig.",
        "The table for {subject} was not used: no tire of the rig has that designation, fitment and load range.",
        "Compare designation, fitment and load range of table and tires.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_contradicts_sidewall": Words(
        "A table that was sent contradicts the sidewall.",
        "The table for {subject} was not used: it reaches the marked load well below the marked pressure.",
        "Compare the table's units and size with the sidewall.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_doubtful": Words(
        "A table that was sent does not look like one of its tire.",
        "The table sent for {subject} does not look like one of this tire: its loads jump between rows, are those of "
        "the other fitment, or end above the load marked on the sidewall.",
        "Compare the rows with the tire maker's table.",
        "Comparison with the sidewall; judgement",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_below_sidewall": Words(
        "A table that was sent ends below the sidewall's load at its pressure.",
        "The table for {subject} gives less than the sidewall at the marked pressure; the lower counts.",
        "Compare the table with the sidewall.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
}
