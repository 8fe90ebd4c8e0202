#include "draft_settings.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/site/layout.hpp"
#include "inspect_log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <string_view>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 5> kFrameKinds{".tif", ".tiff", ".png", ".pgm", ".csv"};
constexpr std::array<std::string_view, 8> kLayoutKinds{
    ".geojson", ".json", ".gpkg", ".shp", ".kml", ".kmz", ".dxf", ".fgb"};
constexpr std::array<std::string_view, 3> kTableKinds{".csv", ".tsv", ".txt"};

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    return text;
}

template <std::size_t N>
bool is_one_of(const fs::path& file, const std::array<std::string_view, N>& kinds) {
    return std::find(kinds.begin(), kinds.end(), lower(file.extension().string())) != kinds.end();
}

// The table's header; empty where the file is none.
std::vector<std::string> header_of(const fs::path& file) {
    try {
        return read_text_table(file).header.cells;
    } catch (const Error&) {
        return {};
    }
}

bool has(const std::vector<std::string>& header, std::string_view column) {
    return std::find(header.begin(), header.end(), column) != header.end();
}

// In natural order; none where the folder holds none.
std::vector<fs::path> files_in(const fs::path& folder) {
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            files.push_back(entry.path());
        }
    }
    std::sort(files.begin(), files.end());
    std::stable_sort(files.begin(), files.end(), [](const fs::path& a, const fs::path& b) {
        return natural_less(a.filename().string(), b.filename().string());
    });
    return files;
}

// Frames of a folder, all with the extension that most of them have.
std::vector<fs::path> frames_in(const fs::path& folder) {
    std::map<std::string, std::vector<fs::path>> by_kind;
    for (const fs::path& file : files_in(folder)) {
        const bool is_table =
            lower(file.extension().string()) == ".csv" && (has(header_of(file), "frame") || is_conditions_log(file));
        if (is_one_of(file, kFrameKinds) && !is_table) {
            by_kind[file.extension().string()].push_back(file);
        }
    }
    const auto most = std::max_element(
        by_kind.begin(), by_kind.end(), [](const auto& a, const auto& b) { return a.second.size() < b.second.size(); });
    return most == by_kind.end() ? std::vector<fs::path>{} : most->second;
}

void find_frames(SurveyFolder& found) {
    std::vector<fs::path> folders{found.folder / "frames", found.folder};
    for (const auto& entry : fs::directory_iterator(found.folder)) {
        if (entry.is_directory() && entry.path() != folders.front()) {
            folders.push_back(entry.path());
        }
    }
    std::sort(folders.begin() + 2, folders.end());
    for (const fs::path& folder : folders) {
        found.frame_files = fs::is_directory(folder) ? frames_in(folder) : std::vector<fs::path>{};
        if (!found.frame_files.empty()) {
            found.frames = folder.lexically_relative(found.folder).generic_string();
            found.pattern = "*" + found.frame_files.front().extension().string();
            return;
        }
    }
    throw Error(ErrorKind::input,
                "cannot draft settings",
                found.folder.string(),
                "neither the folder nor one inside it holds frames",
                "Put the frames into a folder 'frames'");
}

std::string plain_id(const std::string& name) {
    std::string id;
    for (const char c : lower(name)) {
        const bool is_plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.';
        id += is_plain ? c : '-';
    }
    return id.empty() ? "survey" : id;
}

// A TOML string.
std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
        }
        if (static_cast<unsigned char>(c) < 0x20U) {
            out += fmt::format("\\u{:04X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string found_or_demanded(std::string_view key,
                              const std::string& found,
                              std::string_view example,
                              std::string_view what) {
    if (!found.empty()) {
        return fmt::format("{} = {}  # found; {}\n", key, quoted(found), what);
    }
    return fmt::format("# FILL IN {}\n# {} = {}\n", what, key, quoted(std::string(example)));
}

std::string encoding_lines(const TemperatureEncoding& encoding) {
    return fmt::format("# scale = {:g}\n# offset = {:g}\n# unit = \"{}\"\n",
                       encoding.scale,
                       encoding.offset,
                       encoding.kelvin ? "K" : "degC");
}

std::string range_words(const EncodingGuess& guess) {
    return fmt::format("{}: {:.1f} to {:.1f} degC, median {:.1f}, confidence {:.0f} %",
                       guess.name,
                       guess.low.value(),
                       guess.high.value(),
                       guess.median.value(),
                       100.0 * guess.confidence);
}

std::string temperature_text(const std::vector<InspectedFrame>& frames) {
    const FramesSummary summary = summarise_frames(frames);
    std::string text = "[temperature]\n# FILL IN what a count means: temperature = scale x count + offset.\n";
    const auto stated = std::find_if(frames.begin(), frames.end(), [](const InspectedFrame& frame) {
        return frame.facts.stated_scale || frame.facts.stated_offset;
    });
    if (stated != frames.end()) {
        text += fmt::format("# {} itself states scale {:g}, offset {:g}; the unit is for you to know.\n",
                            stated->facts.file.filename().string(),
                            stated->facts.stated_scale.value_or(1.0),
                            stated->facts.stated_offset.value_or(0.0));
    }
    if (summary.guesses.empty()) {
        text +=
            "# No usual encoding gives temperatures of a plant; perhaps raw counts without calibration.\n"
            "# scale = 0.01\n# offset = 0.0\n# unit = \"K\"\n";
    } else if (is_ambiguous(summary.guesses)) {
        text += "# Several encodings fit. Find out which one the camera wrote and uncomment that one alone:\n";
        for (const EncodingGuess& guess : summary.guesses) {
            text += "# " + range_words(guess) + "\n" + encoding_lines(guess.encoding);
        }
    } else {
        text += "# Guessed from the counts; uncomment it to confirm.\n# " + range_words(summary.guesses.front()) +
                "\n" + encoding_lines(summary.guesses.front().encoding);
    }
    const auto marked = std::find_if(frames.begin(), frames.end(), [](const InspectedFrame& frame) {
        return frame.facts.stated_nodata.has_value();
    });
    text += marked != frames.end() ? fmt::format("nodata = {:g}  # the frames say so\n", *marked->facts.stated_nodata)
                                   : std::string("# nodata = 0  # count that means no data, if there is one\n");
    return text +
           "# Emissivity and reflected temperature that were set when the frames were exported, if not 1:\n"
           "# export_emissivity = 1.0\n# export_reflected_c = 20.0\n"
           "# Measured on site ('heatrow calibrate reflected', 'calibrate emissivity'); else the profile's models:\n"
           "# emissivity = 0.85\n# reflected_c = -20.0\n";
}

std::string camera_text(const std::vector<InspectedFrame>& frames) {
    const auto usable =
        std::find_if(frames.begin(), frames.end(), [](const InspectedFrame& frame) { return !frame.facts.rejection; });
    const FrameInspection& facts = usable->facts;
    const std::string model = camera_of(facts.tags);
    std::string text = "[[camera]]\nid = \"thermal\"\n";
    if (!model.empty()) {
        text += "# tags name it " + quoted(model) + "\n";
    }
    text += fmt::format("width_px = {}\nheight_px = {}\n", facts.width_px, facts.height_px);
    if (facts.enlargement > 1) {
        text += fmt::format("native_width_px = {}  # the pixels look enlarged {} times; correct it if they are not\n",
                            facts.width_px / facts.enlargement,
                            facts.enlargement);
    }
    return text +
           "# FILL IN focal length over pixel pitch, e.g. 13.5 mm / 0.012 mm = 1125; 'heatrow calibrate camera' finds "
           "it\n"
           "# with the lens's distortion from frames of a board.\n"
           "# focal_px = 1125.0\n"
           "# FILL IN the camera's clock: its offset from UTC or zone = \"Europe/Madrid\"\n"
           "# clock = { offset = \"+00:00\" }\n"
           "# band_um = [7.5, 14.0]      # if the maker states another\n"
           "# time_constant_ms = 10.0    # of the detector: lets smear be judged\n"
           "# flat_field = \"flat.tif\"    # from 'heatrow calibrate flat-field'\n";
}

std::string frames_text(const SurveyFolder& found) {
    std::string text = fmt::format("[frames]\nfolder = {}\nfiles = {}\n", quoted(found.frames), quoted(found.pattern));
    text += found_or_demanded("poses", found.poses, "poses.csv", "one row per frame (docs/formats/poses-csv.md)");
    if (found.corner_points.empty()) {
        return text +
               "# FILL IN what altitudes of the poses count from: \"site\" = above the site origin, or \"ellipsoid\"\n"
               "altitude = \"site\"\n";
    }
    return text +
           fmt::format("placement = \"corner_points\"\ncorner_points = {}  # found\n", quoted(found.corner_points));
}

}  // namespace

SurveyFolder look_into_survey_folder(const fs::path& folder) {
    SurveyFolder found;
    found.folder = fs::absolute(folder).lexically_normal();
    if (!found.folder.has_filename()) {
        found.folder = found.folder.parent_path();
    }
    find_frames(found);
    const auto take = [](std::string& place, const fs::path& file) {
        place = place.empty() ? file.filename().generic_string() : place;
    };
    for (const fs::path& file : files_in(found.folder)) {
        if (is_one_of(file, kLayoutKinds)) {
            take(found.layout, file);
        } else if (is_one_of(file, kTableKinds)) {
            const std::vector<std::string> header = header_of(file);
            if (has(header, "frame")) {
                take(has(header, "corner") ? found.corner_points : found.poses, file);
            } else if (is_conditions_log(file)) {
                take(found.conditions, file);
            }
        }
    }
    return found;
}

std::string draft_settings(const SurveyFolder& found, const std::vector<InspectedFrame>& frames) {
    if (std::all_of(frames.begin(), frames.end(), [](const InspectedFrame& frame) {
            return frame.facts.rejection.has_value();
        })) {
        throw Error(
            ErrorKind::input,
            "cannot draft settings",
            found.folder.string(),
            fmt::format("none of {} frames can be used: {}", frames.size(), frames.front().facts.rejection->detail),
            "");
    }
    return fmt::format(
        "# Draft by 'heatrow inspect --write-settings'. Lines after \"# FILL IN\" are for you: uncomment them and give "
        "the\n"
        "# value. docs/formats/survey-toml.md describes every key.\n"
        "[survey]\nid = {}\nprofile = {}\n\n[site]\n{}\n{}\n{}\n{}\n[conditions]\n{}"
        "# FILL IN the logger's clock: its offset from UTC or zone = \"Europe/Madrid\"\n"
        "# clock = {{ offset = \"+00:00\" }}\n",
        quoted(plain_id(found.folder.filename().string())),
        quoted("field-practice"),
        found_or_demanded("layout", found.layout, "layout.geojson", "one polygon per module (docs/formats/layout.md)"),
        camera_text(frames),
        frames_text(found),
        temperature_text(frames),
        found_or_demanded("log",
                          found.conditions,
                          "conditions.csv",
                          "irradiance, wind, air temperature over time (docs/formats/conditions.md)"));
}

}  // namespace heatrow::cli
