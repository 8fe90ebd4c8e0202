#include "heatrow/io/evidence_bundle.hpp"

#include "finding_fields.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/csv_writer.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/report/evidence_page.hpp"
#include "heatrow/report/file_stem.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/report_model.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using Pairs = std::vector<std::pair<std::string, std::string>>;

constexpr std::string_view kFailed = "cannot put the evidence together";

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

const Module* module_of(const SurveyRecord& record, const Finding& finding) {
    return finding.module < 0 ? nullptr : &record.layout.modules[at(finding.module)];
}

[[noreturn]] void fail_unknown(std::string_view what, const std::string& name, const std::vector<std::string>& known) {
    const auto nearest = nearest_word(name, known);
    throw Error(ErrorKind::usage,
                kFailed,
                what,
                fmt::format("the record has no \"{}\"", name),
                nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                        : std::string("See findings.csv and modules.csv of the result"));
}

std::string or_unknown(const std::string& text, std::string_view unit) {
    return text.empty() ? "unknown" : text + std::string(unit);
}

// Copies files into the bundle, each once, and keeps their names from the bundle's folder.
class Files {
  public:
    explicit Files(const fs::path& folder) : folder_(folder) {}

    std::string add(const fs::path& file, std::string_view below) {
        const auto known = copied_.find(file);
        if (known != copied_.end()) {
            return known->second;
        }
        const std::string name = fmt::format(
            "{}/{}{}", below, stems_[std::string(below)].claim(file.stem().string()), file.extension().string());
        fs::create_directories(folder_ / below);
        fs::copy_file(file, folder_ / name);
        copied_[file] = name;
        return name;
    }
    // A file of the bundle's own.
    std::string write(std::string_view bytes,
                      const std::string& stem,
                      std::string_view extension,
                      std::string_view below) {
        const std::string name = fmt::format("{}/{}{}", below, stems_[std::string(below)].claim(stem), extension);
        fs::create_directories(folder_ / below);
        write_file(folder_ / name, bytes);
        ++written_;
        return name;
    }
    [[nodiscard]] int count() const { return static_cast<int>(copied_.size()) + written_; }

  private:
    const fs::path& folder_;
    std::map<fs::path, std::string> copied_;
    int written_ = 0;
    std::map<std::string, FileStems> stems_;
};

class Bundle {
  public:
    Bundle(const SurveyRecord& record, const EvidenceSources& sources, const fs::path& folder)
        : record_(record), sources_(sources), projection_(record.layout.origin), files_(folder) {
        for (const InputLine& input : record.run.inputs) {
            if (input.role == "frame") {
                frame_files_[input.sha256] = input.name;
            }
        }
        if (!sources.curves.empty()) {
            for (const fs::directory_entry& entry : fs::directory_iterator(sources.curves)) {
                if (entry.is_regular_file()) {
                    curves_.push_back(entry.path());
                }
            }
            std::sort(curves_.begin(), curves_.end());
        }
    }

    EvidenceItem item(const Finding& finding) {
        EvidenceItem item;
        item.abnormality = finding.abnormality;
        item.evidence = finding.evidence;
        add_facts(finding, item);
        add_pictures(finding, item);
        add_frames(finding, item);
        add_curves(finding, item);
        add_decisions(finding, item);
        return item;
    }
    [[nodiscard]] int files() const { return files_.count(); }
    [[nodiscard]] std::string serial_of(const Finding& finding) const {
        const Module* module = module_of(record_, finding);
        const auto found = module == nullptr ? sources_.serials.end() : sources_.serials.find(module->id);
        return found == sources_.serials.end() ? std::string{} : found->second;
    }

  private:
    void add_facts(const Finding& finding, EvidenceItem& item) const {
        const Module* module = module_of(record_, finding);
        const auto fact = [&item](std::string_view name, const std::string& value) {
            item.facts.emplace_back(std::string(name), value);
        };
        const std::string string = detail::string_name(record_, finding.string);
        item.headline =
            (module == nullptr ? "String " + string : module->id) + ", " + in_words(to_string(finding.pattern));
        fact("Finding", finding.id);
        if (module != nullptr) {
            const std::string serial = serial_of(finding);
            fact("Serial number", serial.empty() ? "not known" : serial);
            fact("Module type", record_.layout.type_of(*module).id);
            fact("String, position", fmt::format("{}, {}", string, module->position));
            fact("Table", detail::table_name(record_, *module));
            if (serial.empty()) {
                item.missing.emplace_back("serial number of the module");
            }
        }
        const SiteProjection::Geographic place = projection_.to_geographic(position_of_finding(record_, finding));
        fact("Latitude, longitude", fixed_text(place.latitude_deg, 7) + ", " + fixed_text(place.longitude_deg, 7));
        if (!finding.candidates.empty()) {
            fact("May also be", detail::module_names(record_, finding.candidates));
            item.missing.emplace_back(
                "certainty which module it is: a frame that shows more of the row, or a look on site");
        }
        fact("Class, probability",
             fmt::format("{}, {}", static_cast<int>(finding.abnormality), fixed_text(finding.class_probability, 3)));
        fact("Difference as measured", with_u95_text(finding.delta_t, 2) + " K");
        fact("Difference at 1000 W/m²",
             finding.delta_t_1000.is_known() ? with_u95_text(finding.delta_t_1000, 2) + " K" : "not scaled");
        fact("Compared with", finding.reference);
        fact("First frame", to_iso8601(finding.time));
        const FrameConditions& weather = finding.conditions;
        fact("Irradiance in the module plane",
             or_unknown(fixed_text(weather.irradiance.value.value(), 1), " W/m²") +
                 (weather.irradiance_is_modelled ? ", modelled" : ""));
        fact("Wind", or_unknown(fixed_text(weather.wind.value.value(), 2), " m/s"));
        fact("Air", or_unknown(fixed_text(weather.air.value.value(), 2), " °C"));
        fact("Load", or_unknown(fixed_text(weather.load_fraction.value, 3), " of the current"));
        if (weather.irradiance_is_modelled) {
            item.missing.emplace_back("measured irradiance: it was modelled");
        }
        if (!weather.load_fraction.is_known()) {
            item.missing.emplace_back("load while it was photographed");
        }
        if (const std::string flags = finding.flags.to_string(); !flags.empty()) {
            fact("Flags", in_words(flags));
        }
    }

    void add_pictures(const Finding& finding, EvidenceItem& item) {
        for (const FindingPicture& picture : record_.pictures) {
            if (picture.finding == finding.id && fs::is_regular_file(sources_.result / picture.file)) {
                item.pictures.push_back(files_.add(sources_.result / picture.file, "pictures"));
            }
        }
        if (item.pictures.empty()) {
            item.missing.emplace_back("thermal picture");
        }
        for (const VisiblePicture& picture : record_.visible_pictures) {
            if (record_.findings[at(picture.finding)].id == finding.id) {
                item.pictures.push_back(files_.write(picture.jpeg, finding.id + "-visible", ".jpg", "pictures"));
            }
        }
    }

    void add_frames(const Finding& finding, EvidenceItem& item) {
        if (sources_.survey.empty()) {
            item.missing.emplace_back("original frames: give the survey folder");
            return;
        }
        for (const int index : finding.frames) {
            const FrameResult& frame = record_.frames[at(index)];
            const auto known = frame_files_.find(frame.sha256);
            const fs::path file = sources_.survey / (known == frame_files_.end() ? frame.prior.name : known->second);
            if (!fs::is_regular_file(file)) {
                item.missing.push_back("original frame " + frame.prior.name);
                continue;
            }
            if (const std::string hash = sha256_of_file(file); hash != frame.sha256) {
                throw Error(ErrorKind::input,
                            kFailed,
                            file.string(),
                            "it is not the file that the run read: its SHA-256 is " + hash + ", not " + frame.sha256,
                            "Give the survey folder as it was analysed");
            }
            item.files.emplace_back("frame", files_.add(file, "frames"));
        }
    }

    // Files named by the module or the finding, alone or followed by something else: "R2-T1-M07.csv", "R2-T1-M07
    // iv.pdf".
    void add_curves(const Finding& finding, EvidenceItem& item) {
        const Module* module = module_of(record_, finding);
        const std::string string = detail::string_name(record_, finding.string);
        bool found = false;
        for (const fs::path& curve : curves_) {
            const std::string name = curve.filename().string();
            const auto begins_with = [&name](const std::string& id) {
                return !id.empty() && name.starts_with(id) &&
                       (name.size() == id.size() ||
                        std::string_view("._ ").find(name[id.size()]) != std::string_view::npos);
            };
            if (begins_with(finding.id) || begins_with(module == nullptr ? string : module->id)) {
                item.files.emplace_back("I-V curve", files_.add(curve, "curves"));
                found = true;
            }
        }
        if (!found) {
            item.missing.emplace_back("I-V curve, or another electrical measurement");
        }
    }

    void add_decisions(const Finding& finding, EvidenceItem& item) const {
        for (const ReviewEntry& entry : record_.review_log) {
            if (entry.finding != finding.id) {
                continue;
            }
            std::string words;
            for (const ReviewChange& change : changes_of(entry)) {
                words += fmt::format(
                    "{}{}: {} → {}", words.empty() ? "" : "; ", in_words(change.what), change.before, change.after);
            }
            item.decisions.push_back(
                fmt::format("{}, {}: {} ({})", to_iso8601(entry.time), entry.reviewer, words, entry.source));
        }
        if (finding.verdict == Verdict::open) {
            item.missing.emplace_back("verdict of a qualified thermographer");
        }
    }

    const SurveyRecord& record_;
    const EvidenceSources& sources_;
    SiteProjection projection_;
    Files files_;
    std::map<std::string, std::string> frame_files_;  // SHA-256, file below the survey folder
    std::vector<fs::path> curves_;
};

std::string joined(const Pairs& files, std::string_view kind) {
    std::vector<std::string> names;
    for (const auto& [of_kind, name] : files) {
        if (of_kind == kind) {
            names.push_back(name);
        }
    }
    return join_names(names);
}

std::string evidence_csv(const SurveyRecord& record,
                         const std::vector<int>& findings,
                         const std::vector<EvidenceItem>& items,
                         const std::vector<std::string>& serials) {
    CsvWriter csv({"finding",  "module",          "serial",    "type",          "string",         "position",
                   "class",    "pattern",         "delta_t_k", "delta_t_u95_k", "delta_t_1000_k", "delta_t_1000_u95_k",
                   "time_utc", "irradiance_w_m2", "wind_m_s",  "air_c",         "load_fraction",  "verdict",
                   "pictures", "frames",          "curves",    "missing"});
    for (std::size_t i = 0; i < items.size(); ++i) {
        const Finding& finding = record.findings[at(findings[i])];
        const Module* module = module_of(record, finding);
        csv.text(finding.id).text(module == nullptr ? "" : module->id).text(serials[i]);
        csv.text(module == nullptr ? "" : record.layout.type_of(*module).id);
        csv.text(detail::string_name(record, finding.string));
        module == nullptr || module->position <= 0 ? csv.empty() : csv.integer(module->position);
        csv.integer(static_cast<int>(finding.abnormality)).text(to_string(finding.pattern));
        csv.number(finding.delta_t.value.value(), 2).number(finding.delta_t.u95(), 2);
        csv.number(finding.delta_t_1000.value.value(), 2).number(finding.delta_t_1000.u95(), 2);
        csv.text(to_iso8601(finding.time)).number(finding.conditions.irradiance.value.value(), 1);
        csv.number(finding.conditions.wind.value.value(), 2).number(finding.conditions.air.value.value(), 2);
        csv.number(finding.conditions.load_fraction.value, 3).text(to_string(finding.verdict));
        csv.text(join_names(items[i].pictures)).text(joined(items[i].files, "frame"));
        csv.text(joined(items[i].files, "I-V curve")).text(join_names(items[i].missing));
        csv.end_row();
    }
    return csv.str();
}

std::string review_csv(const SurveyRecord& record, const std::vector<int>& findings) {
    std::set<std::string> ids;
    for (const int finding : findings) {
        ids.insert(record.findings[at(finding)].id);
    }
    CsvWriter csv({"changed_utc", "reviewer", "finding", "what", "before", "after", "source"});
    for (const ReviewEntry& entry : record.review_log) {
        for (const ReviewChange& change : changes_of(entry)) {
            if (ids.contains(entry.finding)) {
                csv.text(to_iso8601(entry.time)).text(entry.reviewer).text(entry.finding).text(change.what);
                csv.text(change.before).text(change.after).text(entry.source);
                csv.end_row();
            }
        }
    }
    return csv.str();
}

// As `sha256sum -c` reads it.
std::string hashes(const fs::path& folder) {
    std::vector<std::string> names;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            names.push_back(entry.path().lexically_relative(folder).generic_string());
        }
    }
    std::sort(names.begin(), names.end());
    std::string text;
    for (const std::string& name : names) {
        text += sha256_of_file(folder / name) + "  " + name + "\n";
    }
    return text;
}

Pairs survey_facts(const SurveyRecord& record, std::size_t findings) {
    Pairs facts{{"Survey", record.survey_id + ", " + record.title},
                {"Plant", record.stated.plant.empty() ? "not stated" : record.stated.plant},
                {"Run", record.run.id + ", " + record.program},
                {"Profile", record.profile_id + ", version " + record.profile_version},
                {"Findings", std::to_string(findings)}};
    for (const InstrumentStatement& instrument : record.stated.instruments) {
        facts.emplace_back("Instrument for " + instrument.measures,
                           fmt::format("{} {}, serial {}, calibrated {}, certificate {}",
                                       instrument.maker,
                                       instrument.model.empty() ? "model not stated" : instrument.model,
                                       instrument.serial.empty() ? "not stated" : instrument.serial,
                                       instrument.calibrated.empty() ? "not stated" : instrument.calibrated,
                                       instrument.certificate.empty() ? "not stated" : instrument.certificate));
    }
    return facts;
}

}  // namespace

std::map<std::string, std::string> read_serials(const fs::path& file, const SurveyRecord& record) {
    const TextTable table = read_text_table(file);
    const auto module = table.find_column("module");
    const auto serial = table.find_column("serial");
    if (!module || !serial) {
        throw Error(ErrorKind::input,
                    kFailed,
                    table.place(table.header),
                    "it has not the columns module and serial",
                    "Write a table with these two columns");
    }
    std::vector<std::string> known;
    for (const Module& one : record.layout.modules) {
        known.push_back(one.id);
    }
    const std::set<std::string> ids(known.begin(), known.end());
    std::map<std::string, std::string> serials;
    for (const TextRow& row : table.rows) {
        const std::string id(cell(row, *module));
        if (!ids.contains(id)) {
            const auto nearest = nearest_word(id, known);
            throw Error(ErrorKind::input,
                        kFailed,
                        table.place(row, "module"),
                        "the layout has no module \"" + id + "\"",
                        nearest ? "Did you mean \"" + *nearest + "\"?" : std::string("Correct the id"));
        }
        if (!serials.emplace(id, cell(row, *serial)).second) {
            throw Error(ErrorKind::input,
                        kFailed,
                        table.place(row, "module"),
                        "the module \"" + id + "\" is named before",
                        "Keep one of the rows");
        }
    }
    return serials;
}

std::vector<int> chosen_findings(const SurveyRecord& record, const EvidenceChoice& choice) {
    std::vector<std::string> types;
    for (const ModuleType& type : record.layout.types) {
        types.push_back(type.id);
    }
    if (!choice.type.empty() && std::find(types.begin(), types.end(), choice.type) == types.end()) {
        fail_unknown("module type", choice.type, types);
    }
    std::vector<std::string> ids;
    for (const Finding& finding : record.findings) {
        ids.push_back(finding.id);
    }
    for (const std::string& id : choice.findings) {
        if (std::find(ids.begin(), ids.end(), id) == ids.end()) {
            fail_unknown("finding", id, ids);
        }
    }
    std::vector<int> chosen;
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        const Finding& finding = record.findings[i];
        const Module* module = module_of(record, finding);
        const bool listed =
            std::find(choice.findings.begin(), choice.findings.end(), finding.id) != choice.findings.end();
        const bool of_type = !choice.type.empty() && module != nullptr &&
                             record.layout.type_of(*module).id == choice.type &&
                             finding.abnormality != AbnormalityClass::none && finding.verdict != Verdict::rejected;
        if (listed || of_type) {
            chosen.push_back(static_cast<int>(i));
        }
    }
    if (chosen.empty()) {
        throw Error(ErrorKind::input,
                    kFailed,
                    record.survey_id,
                    "no finding is chosen: modules of this type have none of class 2 or 3 that was not rejected",
                    "Choose another type, or findings by their ids");
    }
    return chosen;
}

EvidenceSummary write_evidence(const SurveyRecord& record,
                               const std::vector<int>& findings,
                               const std::string& claim,
                               const EvidenceSources& sources,
                               const fs::path& folder) {
    Bundle bundle(record, sources, folder);
    EvidencePage page;
    page.title = "Evidence: " + record.title;
    page.claim = claim;
    page.facts = survey_facts(record, findings.size());
    page.missing = not_stated(record.stated);
    page.foot = record.program + " · run " + record.run.id +
                " · hashes of all files in SHA256SUMS · the program follows the practice of IEC TS 62446-3 where its "
                "profile says so; it does not certify compliance.";
    std::vector<std::string> serials;
    EvidenceSummary summary;
    CsvWriter missing({"finding", "missing"});
    for (const int index : findings) {
        const Finding& finding = record.findings[at(index)];
        page.items.push_back(bundle.item(finding));
        serials.push_back(bundle.serial_of(finding));
        for (const std::string& what : page.items.back().missing) {
            missing.text(finding.id).text(what);
            missing.end_row();
            summary.missing.push_back(finding.id + ": " + what);
        }
    }
    for (const std::string& what : page.missing) {
        missing.text("").text(what);
        missing.end_row();
        summary.missing.push_back(what);
    }
    write_file(folder / "index.html", evidence_page_html(page));
    write_file(folder / "evidence.csv", evidence_csv(record, findings, page.items, serials));
    write_file(folder / "review-log.csv", review_csv(record, findings));
    write_file(folder / "missing.csv", missing.str());
    write_file(folder / "SHA256SUMS", hashes(folder));
    summary.findings = static_cast<int>(findings.size());
    summary.files = bundle.files();
    return summary;
}

}  // namespace heatrow
