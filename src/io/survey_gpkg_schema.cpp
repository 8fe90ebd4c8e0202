#include "survey_gpkg_schema.hpp"

namespace heatrow::detail {

using enum GpkgType;

const GpkgSchema& modules_schema() {
    static const GpkgSchema schema = {
        "modules",
        wkbPolygon25D,
        "Modules",
        {
            {"module", text, "Module"},
            {"string", text, "String"},
            {"position", integer, "Position in the string"},
            {"table", text, "Table"},
            {"type", text, "Module type"},
            {"state", text, "State shown on the map"},
            {"assessed", text, "Assessed"},
            {"assessed_reason", text, "Why not assessed"},
            {"placement", text, "Placement"},
            {"frames_used", integer, "Frames used"},
            {"px_per_cell", real, "Pixels across a cell [px]"},
            {"view_angle_deg", real, "View angle from the normal [°]"},
            {"t_module_c", real, "Module temperature [°C]"},
            {"t_module_u95_c", real, "Module temperature, 95 % half width [°C]"},
            {"delta_t_1000_k", real, "Difference of the module at 1000 W/m² [K]"},
            {"hottest_cell", text, "Hottest cell"},
            {"hottest_cell_delta_t_1000_k", real, "Difference of the hottest cell at 1000 W/m² [K]"},
            {"class", integer, "Class of abnormality (1, 2, 3)"},
            {"flags", text, "Flags"},
            {"tilt_deg", real, "Tilt [°]"},
            {"azimuth_deg", real, "Azimuth [°]"},
            {"longitude", real, "Longitude, WGS 84 [°]"},
            {"latitude", real, "Latitude, WGS 84 [°]"},
            {"cell_rows", integer, "Cell rows"},
            {"cell_columns", integer, "Cell columns"},
            {"cell_values", blob, "Cell values (float32)"},
        }};
    return schema;
}

const GpkgSchema& strings_schema() {
    static const GpkgSchema schema = {"strings",
                                      wkbLineString,
                                      "Strings",
                                      {
                                          {"string", text, "String"},
                                          {"modules", integer, "Modules"},
                                          {"modules_assessed", integer, "Modules assessed"},
                                          {"findings", integer, "Findings"},
                                          {"class", integer, "Highest class of abnormality (1, 2, 3)"},
                                          {"delta_t_1000_k", real, "Difference against neighbours at 1000 W/m² [K]"},
                                          {"combiner", text, "Combiner", true},
                                          {"inverter", text, "Inverter", true},
                                          {"input", text, "Input of the inverter or combiner", true},
                                      }};
    return schema;
}

const GpkgSchema& findings_schema() {
    static const GpkgSchema schema = {"findings",
                                      wkbPoint,
                                      "Findings",
                                      {
                                          {"finding", text, "Finding"},
                                          {"module", text, "Module"},
                                          {"candidates", text, "Modules it may also be"},
                                          {"string", text, "String"},
                                          {"position", integer, "Position in the string"},
                                          {"table", text, "Table"},
                                          {"pattern", text, "Pattern"},
                                          {"pattern_probability", real, "Pattern probability"},
                                          {"pattern_second", text, "Second pattern"},
                                          {"substrings", text, "Substrings"},
                                          {"cells", text, "Cells"},
                                          {"class", integer, "Class of abnormality (1, 2, 3)"},
                                          {"class_probability", real, "Class probability"},
                                          {"delta_t_k", real, "Difference as measured [K]"},
                                          {"delta_t_u95_k", real, "Difference as measured, 95 % half width [K]"},
                                          {"delta_t_1000_k", real, "Difference at 1000 W/m² [K]"},
                                          {"delta_t_1000_u95_k", real, "Difference at 1000 W/m², 95 % half width [K]"},
                                          {"exponent", real, "Exponent of the scaling"},
                                          {"t_hot_c", real, "Hot [°C]"},
                                          {"t_reference_c", real, "Reference [°C]"},
                                          {"reference", text, "Compared with"},
                                          {"time_utc", time, "First frame used (UTC)"},
                                          {"irradiance_w_m2", real, "Irradiance in the module plane [W/m²]"},
                                          {"wind_m_s", real, "Wind [m/s]"},
                                          {"air_c", real, "Air [°C]"},
                                          {"load_fraction", real, "Load fraction"},
                                          {"frames_used", integer, "Frames used"},
                                          {"frames", text, "Frames"},
                                          {"flags", text, "Flags"},
                                          {"loss_w_low", real, "Loss now, low [W]"},
                                          {"loss_w_high", real, "Loss now, high [W]"},
                                          {"loss_rated_w_low", real, "Loss at rated conditions, low [W]"},
                                          {"loss_rated_w_high", real, "Loss at rated conditions, high [W]"},
                                          {"loss_kwh_year_low", real, "Loss a year, low [kWh]"},
                                          {"loss_kwh_year_high", real, "Loss a year, high [kWh]"},
                                          {"verdict", text, "Verdict"},
                                          {"longitude", real, "Longitude, WGS 84 [°]"},
                                          {"latitude", real, "Latitude, WGS 84 [°]"},
                                          {"evidence", text, "Evidence"},
                                          {"reviewed_pattern", text, "Pattern given by the reviewer"},
                                          {"comment", text, "Comment of the reviewer"},
                                          {"reviewer", text, "Reviewer"},
                                          {"reviewed_utc", time, "Reviewed (UTC)"},
                                          {"irradiance_u_w_m2", real, "Irradiance, standard uncertainty [W/m²]"},
                                          {"irradiance_felt_w_m2", real, "Irradiance as the module has felt it [W/m²]"},
                                          {"irradiance_felt_u_w_m2", real, "The same, standard uncertainty [W/m²]"},
                                          {"irradiance_is_modelled", text, "Irradiance is modelled"},
                                          {"wind_u_m_s", real, "Wind, standard uncertainty [m/s]"},
                                          {"air_u_c", real, "Air, standard uncertainty [°C]"},
                                          {"relative_humidity_percent", real, "Relative humidity [%]"},
                                          {"cloud_okta", real, "Cloud [okta]"},
                                          {"load_fraction_u", real, "Load fraction, standard uncertainty"},
                                          {"condition_flags", text, "Flags of the conditions"},
                                          {"reviewed_class", integer, "Class by the reviewer's pattern (1, 2, 3)"},
                                          {"reviewed_delta_t_1000_k", real, "Difference by the reviewer's pattern [K]"},
                                          {"work_status", text, "Where the work stands"},
                                      }};
    return schema;
}

const GpkgSchema& frames_schema() {
    static const GpkgSchema schema = {"frames",
                                      wkbPolygon,
                                      "Frames",
                                      {
                                          {"frame", text, "Frame"},
                                          {"time_utc", time, "Capture time (UTC)"},
                                          {"outcome", text, "Outcome"},
                                          {"rejection", text, "Why left out"},
                                          {"rejection_detail", text, "Why left out, in a sentence"},
                                          {"logged_east_m", real, "Position as logged, east of the origin [m]"},
                                          {"logged_north_m", real, "Position as logged, north of the origin [m]"},
                                          {"logged_up_m", real, "Position as logged, above the origin [m]"},
                                          {"logged_yaw_deg", real, "Yaw as logged [°]"},
                                          {"logged_pitch_deg", real, "Pitch as logged [°]"},
                                          {"logged_roll_deg", real, "Roll as logged [°]"},
                                          {"east_m", real, "Position as solved, east of the origin [m]"},
                                          {"north_m", real, "Position as solved, north of the origin [m]"},
                                          {"up_m", real, "Position as solved, above the origin [m]"},
                                          {"yaw_deg", real, "Yaw as solved [°]"},
                                          {"pitch_deg", real, "Pitch as solved [°]"},
                                          {"roll_deg", real, "Roll as solved [°]"},
                                          {"lock_rms_px", real, "Edge residual after the lock, rms [px]"},
                                          {"irradiance_w_m2", real, "Irradiance in the module plane [W/m²]"},
                                          {"irradiance_u_w_m2", real, "Irradiance, standard uncertainty [W/m²]"},
                                          {"irradiance_felt_w_m2", real, "Irradiance as the module has felt it [W/m²]"},
                                          {"irradiance_is_modelled", text, "Irradiance is modelled"},
                                          {"wind_m_s", real, "Wind [m/s]"},
                                          {"air_c", real, "Air [°C]"},
                                          {"relative_humidity_percent", real, "Relative humidity [%]"},
                                          {"cloud_okta", real, "Cloud [okta]"},
                                          {"load_fraction", real, "Load fraction"},
                                          {"flags", text, "Flags"},
                                          {"sha256", text, "SHA-256 of the file"},
                                          {"irradiance_felt_u_w_m2", real, "The same, standard uncertainty [W/m²]"},
                                          {"wind_u_m_s", real, "Wind, standard uncertainty [m/s]"},
                                          {"air_u_c", real, "Air, standard uncertainty [°C]"},
                                          {"load_fraction_u", real, "Load fraction, standard uncertainty"},
                                      }};
    return schema;
}

const GpkgSchema& footprints_schema() {
    static const GpkgSchema schema = {"footprints",
                                      wkbPolygon,
                                      "Footprints before and after the alignment",
                                      {
                                          {"frame", text, "Frame"},
                                          {"state", text, "By the log (before) or as placed (after)"},
                                          {"moved_east_m", real, "Camera moved to the east [m]"},
                                          {"moved_north_m", real, "Camera moved to the north [m]"},
                                          {"moved_up_m", real, "Camera moved up [m]"},
                                          {"turned_deg", real, "Camera turned clockwise [°]"},
                                          {"lock_rms_px", real, "Edge residual after the lock, rms [px]"},
                                      }};
    return schema;
}

const GpkgSchema& control_schema() {
    static const GpkgSchema schema = {"control",
                                      wkbPoint25D,
                                      "Known pixels, control points and surveyed corners",
                                      {
                                          {"name", text, "Point or module"},
                                          {"kind", text, "Kind"},
                                          {"use", text, "Use"},
                                          {"frame", text, "Frame"},
                                          {"x", real, "Pixel, x [px]"},
                                          {"y", real, "Pixel, y [px]"},
                                          {"placement", text, "Placement of the frame"},
                                          {"off_x_px", real, "Off to the right [px]"},
                                          {"off_y_px", real, "Off downwards [px]"},
                                          {"off_east_m", real, "Off to the east [m]"},
                                          {"off_north_m", real, "Off to the north [m]"},
                                          {"detail", text, "Why not used; module of a corner"},
                                      }};
    return schema;
}

const GpkgSchema& views_schema() {
    static const GpkgSchema schema = {"views",
                                      wkbNone,
                                      "Views of modules in frames",
                                      {
                                          {"frame", text, "Frame"},
                                          {"module", text, "Module"},
                                          {"placement", text, "Placement"},
                                          {"placement_margin", real, "Placement margin [nat]"},
                                          {"pixels", real, "Area of the module [px²]"},
                                          {"x1", real, "Top left, x [px]"},
                                          {"y1", real, "Top left, y [px]"},
                                          {"x2", real, "Top right, x [px]"},
                                          {"y2", real, "Top right, y [px]"},
                                          {"x3", real, "Bottom right, x [px]"},
                                          {"y3", real, "Bottom right, y [px]"},
                                          {"x4", real, "Bottom left, x [px]"},
                                          {"y4", real, "Bottom left, y [px]"},
                                          {"slot", integer, "Place among the modules of its frame"},
                                          {"used", text, "Used for the module's values"},
                                          {"candidates", text, "Modules it may also be"},
                                      }};
    return schema;
}

const GpkgSchema& module_types_schema() {
    static const GpkgSchema schema = {"module_types",
                                      wkbNone,
                                      "Module types",
                                      {
                                          {"type", text, "Module type"},
                                          {"description", text, "Description"},
                                          {"width_m", real, "Width [m]"},
                                          {"height_m", real, "Height [m]"},
                                          {"cell_rows", integer, "Cell rows"},
                                          {"cell_columns", integer, "Cell columns"},
                                          {"half_cut", text, "Half-cut cells"},
                                          {"substring_of_cell", text, "Substring of each cell, row by row"},
                                          {"rated_power_w", real, "Rated power [W]"},
                                          {"rated_current_a", real, "Rated current [A]"},
                                          {"rated_voltage_v", real, "Rated voltage [V]"},
                                          {"short_circuit_current_a", real, "Short-circuit current [A]"},
                                          {"open_circuit_voltage_v", real, "Open-circuit voltage [V]"},
                                          {"branches", text, "Cells of each branch, row by row from 0"},
                                          {"cell_area_left_m", real, "Where the first column begins [m]"},
                                          {"cell_area_top_m", real, "Where the first row begins [m]"},
                                          {"cell_area_width_m", real, "Width over all columns [m]"},
                                          {"cell_area_height_m", real, "Height over all rows, without the gap [m]"},
                                          {"middle_gap_m", real, "Gap in the middle of half-cut types [m]"},
                                          {"technology", text, "Technology"},
                                          {"frame_width_m", real, "Visible rim of the frame [m]"},
                                          {"front", text, "Front"},
                                          {"positive_lead", text, "Side of the positive lead, from the front"},
                                          {"junction_boxes", text, "Junction boxes, x,y from the top left [m]"},
                                      }};
    return schema;
}

const GpkgSchema& limits_schema() {
    static const GpkgSchema schema = {"limits",
                                      wkbNone,
                                      "Limits of the profile",
                                      {
                                          {"quantity", text, "Quantity"},
                                          {"limit", text, "Limit"},
                                          {"source", text, "Source"},
                                          {"flag", text, "Flag raised where it is not met"},
                                          {"value", real, "Value, in the unit of the quantity"},
                                      }};
    return schema;
}

const GpkgSchema& pictures_schema() {
    static const GpkgSchema schema = {"pictures",
                                      wkbNone,
                                      "Pictures of findings",
                                      {
                                          {"finding", text, "Finding"},
                                          {"frame", text, "Frame"},
                                          {"file", text, "Picture, from this file's folder"},
                                          {"scale_low_c", real, "Colour scale, low end [°C]"},
                                          {"scale_high_c", real, "Colour scale, high end [°C]"},
                                      }};
    return schema;
}

const GpkgSchema& review_log_schema() {
    static const GpkgSchema schema = {"review_log",
                                      wkbNone,
                                      "Review log",
                                      {
                                          {"finding", text, "Finding"},
                                          {"reviewed_utc", time, "Decided (UTC)"},
                                          {"reviewer", text, "Reviewer"},
                                          {"verdict_before", text, "Verdict before"},
                                          {"verdict", text, "Verdict"},
                                          {"pattern_before", text, "Pattern given before"},
                                          {"pattern", text, "Pattern given"},
                                          {"comment_before", text, "Comment before"},
                                          {"comment", text, "Comment"},
                                          {"source", text, "File that the decision came in"},
                                          {"class_before", integer, "Class before (1, 2, 3)"},
                                          {"class", integer, "Class (1, 2, 3)"},
                                          {"work_before", text, "Where the work stood before"},
                                          {"work", text, "Where the work stands"},
                                      }};
    return schema;
}

const GpkgSchema& crops_schema() {
    static const GpkgSchema schema = {"crops",
                                      wkbNone,
                                      "What a frame shows of each finding",
                                      {
                                          {"finding", text, "Finding"},
                                          {"frame", text, "Frame"},
                                          {"x", integer, "Left pixel of the frame"},
                                          {"y", integer, "Top pixel of the frame"},
                                          {"columns", integer, "Columns"},
                                          {"rows", integer, "Rows"},
                                          {"temperature_c", blob, "Apparent temperature [°C] (float32, zlib)"},
                                          {"modules_px", text, "Outlines of modules [px]"},
                                          {"parts_px", text, "Outlines of the parts [px]"},
                                          {"hottest_x", real, "Middle of the hottest 3 x 3 pixels, x [px]"},
                                          {"hottest_y", real, "Middle of the hottest 3 x 3 pixels, y [px]"},
                                          {"hottest_c", real, "Their mean [°C]"},
                                          {"metres_per_pixel", real, "Length of a pixel on the module [m]"},
                                          {"scale_low_c", real, "Colour scale, low end [°C]"},
                                          {"scale_high_c", real, "Colour scale, high end [°C]"},
                                      }};
    return schema;
}

const GpkgSchema& visible_pictures_schema() {
    static const GpkgSchema schema = {"visible_pictures",
                                      wkbNone,
                                      "Findings in visible light",
                                      {
                                          {"finding", text, "Finding"},
                                          {"visible_frame", text, "Frame in visible light"},
                                          {"time_utc", time, "Capture time (UTC)"},
                                          {"frame", text, "Thermal frame nearest in time"},
                                          {"jpeg", blob, "Picture (JPEG)"},
                                          {"columns", integer, "Columns"},
                                          {"rows", integer, "Rows"},
                                          {"module_px", text, "Outline of the module [px]"},
                                          {"fits", text, "Edges lie where the layout has modules"},
                                      }};
    return schema;
}

const GpkgSchema& run_schema() {
    static const GpkgSchema schema = {
        "run", wkbNone, "Survey and profile", {{"key", text, "Key"}, {"value", text, "Value"}}};
    return schema;
}

const GpkgSchema& rules_schema() {
    static const GpkgSchema schema = {"rules",
                                      wkbNone,
                                      "Rules of the profile",
                                      {
                                          {"pattern", text, "Pattern"},
                                          {"class_2_from_k", real, "Class 2 from [K at 1000 W/m²]"},
                                          {"class_3_from_k", real, "Class 3 from [K at 1000 W/m²]"},
                                          {"exponent", real, "Exponent of the scaling"},
                                          {"exponent_low", real, "Exponent, low"},
                                          {"exponent_high", real, "Exponent, high"},
                                          {"source", text, "Source"},
                                      }};
    return schema;
}

const GpkgSchema& settings_schema() {
    static const GpkgSchema schema = {
        "settings", wkbNone, "Settings of the run", {{"setting", text, "Setting"}, {"value", text, "Value"}}};
    return schema;
}

const GpkgSchema& clocks_schema() {
    static const GpkgSchema schema = {
        "clocks", wkbNone, "Clocks", {{"device", text, "Device"}, {"clock", text, "Clock in words"}}};
    return schema;
}

const GpkgSchema& inputs_schema() {
    static const GpkgSchema schema = {"inputs",
                                      wkbNone,
                                      "Files that were read",
                                      {
                                          {"role", text, "Role"},
                                          {"file", text, "File"},
                                          {"bytes", integer, "Bytes"},
                                          {"sha256", text, "SHA-256 of the file"},
                                      }};
    return schema;
}

const GpkgSchema& statement_schema() {
    static const GpkgSchema schema = {
        "statement", wkbNone, "What the surveyor states", {{"key", text, "Key"}, {"value", text, "Value"}}};
    return schema;
}

const GpkgSchema& instruments_schema() {
    static const GpkgSchema schema = {"instruments",
                                      wkbNone,
                                      "Instruments as stated",
                                      {
                                          {"measures", text, "Measures"},
                                          {"maker", text, "Maker"},
                                          {"model", text, "Model"},
                                          {"serial", text, "Serial number"},
                                          {"lens", text, "Lens"},
                                          {"calibrated", text, "Calibrated on"},
                                          {"certificate", text, "Certificate"},
                                      }};
    return schema;
}

}  // namespace heatrow::detail
