// SPDX-License-Identifier: BSL-1.0

#include "report_cautions.hpp"

#include <algorithm>

namespace choose_filter {

// The standards named here are listed from memory; each caution defers to them and states no limit of its own.
const std::vector<Caution>& all_cautions() {
    static const std::vector<Caution> cautions{
        {CautionTopic::starved_airflow, "Starved airflow and carbon monoxide",
         "A filter of higher resistance, or a dirty one, takes airflow away. A fuel-burning furnace that is starved of "
         "air overheats: its limit control trips, its heat exchanger can crack, and flue gas with carbon monoxide can "
         "reach the rooms. Keep the airflow and the temperature rise of the nameplate, keep a carbon-monoxide alarm "
         "wherever fuel is burnt, and after any doubt have a licensed technician check.",
         "nameplate and installation manual; NFPA 54; NFPA 72 and the local alarm code; licensed technician"},
        {CautionTopic::icing, "Icing coils, heat pumps and electric heaters",
         "Low airflow lets a cooling coil ice up; liquid refrigerant can reach the compressor, and the melting ice "
         "leaks. A "
         "heat pump that heats runs at higher condensing pressure, and an electric heater needs its least air "
         "velocity.",
         "equipment manual; ASHRAE 15; UL/IEC 60335-2-40"},
        {CautionTopic::fan_motor, "Overheated motors and stall",
         "A fan against a high resistance can overheat its motor or run in stall, and a motor that holds its airflow "
         "may "
         "draw more power the dirtier the filter is. Stay inside the rated external static pressure and current.",
         "nameplate; data sheets of fan and motor"},
        {CautionTopic::combustion_air, "Combustion air",
         "A change of return resistance or leakage changes the pressure in the room of an appliance with natural draft "
         "and "
         "can spill its flue gas. Where fuel is burnt, have combustion safety checked after the change.",
         "NFPA 54 (venting, spillage test); local code; licensed technician"},
        {CautionTopic::estimates, "Estimates, not ratings",
         "Every class and value here is an estimate from bench data. Only a test by an accredited laboratory to the "
         "named "
         "standard gives a rating.",
         "ASHRAE 52.2; ISO 16890-1"},
        {CautionTopic::bypass, "Bypass",
         "Results of a tested filter hold for a filter without gaps around it. A loose frame, a crushed or a wet "
         "filter lets "
         "air past and voids them.",
         "ASHRAE 52.2; maintenance sections of ASHRAE 62.1 and 180"},
        {CautionTopic::combustible_dust, "Combustible dust on the bench",
         "Flour, starch, sugar, wood, cotton linters, carbon black and other organic, carbon or metal dusts explode "
         "when a "
         "cupful is blown through a box with an electric fan. Feed mineral test dust in grams, far below any "
         "explosible "
         "concentration, in an earthed metal duct, with no ignition source and no ordinary vacuum cleaner.",
         "NFPA 660; NFPA 68, 69, 77; OSHA guidance on combustible dust"},
        {CautionTopic::silica, "Respirable dust and silica",
         "Mineral test dust to ISO 12103-1 is mostly crystalline silica, which causes cancer when its fine part is "
         "breathed. Exhaust the bench through a high-efficiency filter, weigh under a hood, wear a fitted respirator "
         "and "
         "clean wet.",
         "29 CFR 1910.1053 and 1910.134 or the local rule; ISO 12103-1"},
        {CautionTopic::electricity, "Electricity and moving parts",
         "Fans, heaters and high-voltage parts are for qualified persons: isolate and lock out before opening, bond to "
         "earth, protect by a residual-current device, guard the fan inlet, keep mains wiring out of the dust.",
         "NFPA 70; 29 CFR 1910.147, .303, .307; IEC 60204-1; ISO 12100"},
        {CautionTopic::duct_strength, "Duct strength",
         "A blocked filter or a closed damper puts the fan's shut-off pressure on the bench's duct. Provide relief, "
         "limit "
         "that pressure, and wear glasses when opening.",
         "ISO 5801; 29 CFR 1910.212"},
        {CautionTopic::aerosol, "Test aerosols and counters",
         "Salt aerosol corrodes, oil aerosol is a combustible mist, radioactive neutralizers need a licence, and the "
         "laser "
         "inside a particle counter stays closed.",
         "ISO 16890-2; IEC 60825-1; national radiation rules"},
        {CautionTopic::conditioning, "Alcohol vapour",
         "Conditioning a filter with propan-2-ol vapour uses a flammable liquid: ventilated cabinet, no ignition "
         "source, and "
         "a dry filter before a fan is started.",
         "ISO 16890-4; NFPA 30; 29 CFR 1910.106"},
        {CautionTopic::fire, "Loaded filters burn",
         "Keep loaded filters from flames and hot coils, and dispose of them cold.", "UL 900; NFPA 90A"},
    };
    return cautions;
}

const Caution& caution(CautionTopic topic) {
    const auto& all = all_cautions();
    return *std::find_if(all.begin(), all.end(), [topic](const Caution& c) { return c.topic == topic; });
}

}   // namespace choose_filter
