// lapheat help cores, lapheat help fluids: the keys of those tables.
#pragma once

namespace lapheat::app {

inline constexpr const char* cores_text = R"(Cores: [cores.NAME]

Every core has `kind` and `fluid`; a core that cools with a liquid also `second_fluid`. What is in
[brackets] may be left out. What is then assumed stands in the report.

From dimensions (width and height of the finned face without tanks, depth along the air):
  louvred      width height depth tube_height fins; tubes or tube_pitch; [tube_depth tube_wall
               channels rows passes tubes_run fin_thickness louvre_pitch louvre_angle
               louvre_length turbulator_fins fin_material tube_material]
  plate_fin    width height tube_diameter fins; tubes or transverse_pitch; [longitudinal_pitch
               rows staggered circuits rows_in_series tube_wall fin_thickness; wavy fins:
               wave_depth half_wave_length]
  bar_plate    width height depth liquid_fin_height; air_fin_height or passages; [passes
               liquid_fins liquid_fin_thickness liquid_strip_length air_fins
               air_fin_thickness air_strip_length sheet_thickness]
  finned_tube  run_length tube_diameter fin_diameter fins; [runs rows run_pitch row_pitch]
  tank_plate   length plate_width oil_height tank_width tank_depth; [plates wall counter_flow
               turbulator_fins turbulator_fin_thickness turbulator_strip_length]
  tank_tube    length outer_diameter bore tank_width tank_depth; [wall counter_flow ...]
  [measured]   a table of points, as below, to which the core is fitted

From what is stated or measured (with width height depth when cooled by air):
  rated        heat, liquid_flow, liquid_inlet, air_flow, and itd or air_inlet;
               [liquid_drop air_drop]
  points       points = [["liquid_flow [L/min]", "liquid_inlet [degC]", "air_speed [m/s]",
               "air_inlet [degC]", "heat [kW]"], [8, 110, 4, 35, 6.9], ...] or a CSV file;
               also liquid_mass_flow, air_flow, air_mass_flow, liquid_outlet in place of heat,
               heat_error, liquid_drop, air_drop. Fitted: the report says what the points can
               and cannot tell, with 95 % intervals
  map          liquid_inlet, itd or air_inlet, air_flow = [...], map = [{ liquid_flow = "8 L/min",
               heat = ["5 kW", ...] }, ...]
  conductance  as rated, with conductance in place of heat
  weight_class gross_vehicle_weight; [assumptions = { grade, speed, loss_share, liquid_flow,
               liquid_inlet, air_inlet, air_speed }]: a guess, good to 50 %
  [split = [liquid, wall, air], inside = "smooth" or "turbulated", inner_diameter,
  inner_flow_area, inner_length, liquid_volume, mass, uncertainty]
With a second_fluid, keys that begin with air_ begin with second_.

Any core: [liquid_fouling air_fouling blocked bent_fins rated_pressure]; [arrangement = counter, parallel,
cross_unmixed, cross_liquid_mixed, cross_air_mixed, cross_mixed; cross_rows, shell_and_tube,
cross_counter, cross_parallel with arrangement_count; coupling = mixed, same_order,
turned_order] where the kind does not decide it. [cores.NAME.circuits] splits a combined core.
)";

inline constexpr const char* fluids_text = R"(Fluids: [fluids.NAME]

  water
  ethylene_glycol, propylene_glycol    fraction, 0 to 60 % by volume
  transmission_fluid, steering_fluid, engine_oil: generic; from a data sheet, any of
    viscosity_40 viscosity_100, or viscosity = [["temperature [degF]", "viscosity [mm2/s]"],
    [100, 34], [210, 7.1]]; density_15 density_100; specific_heat_40 specific_heat_100;
    conductivity_40 conductivity_100; pour_point; maximum_temperature
  data_sheet   a coolant from its maker's table: freezing, boiling, [boiling_pressure],
    properties = [["temperature [degC]", "density [kg/m3]", "specific_heat [kJ/(kg K)]",
    "conductivity [W/(m K)]", "viscosity [mPa s]"], ...] or a CSV file

`lapheat fluid NAME --file FILE` shows a fluid as a file has it, with the source, range and
uncertainty of each property. Outside the range a run's report says so.
)";

}  // namespace lapheat::app
