#include "heatrow/io/result_writer.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/rendering.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_review.hpp"
#include "heatrow/io/survey_gpkg_writer.hpp"

#include <system_error>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

void write_tables(const Layout& layout, const std::vector<TablePicture>& tables, const fs::path& folder) {
    const std::vector<std::string> files = table_picture_files(layout);
    for (const TablePicture& table : tables) {
        const fs::path file = folder / files.at(static_cast<std::size_t>(table.table));
        fs::create_directory(file.parent_path());
        write_file(file, table.png);
    }
}

void write_pictures(const std::vector<FindingPicture>& pictures, const PictureBytes& bytes, const fs::path& folder) {
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const fs::path file = folder / pictures.at(i).file;
        fs::create_directories(file.parent_path());
        write_file(file, bytes[i]);
    }
}

std::vector<std::string> write_all(const SurveyRecord& record,
                                   const RunFacts& facts,
                                   const std::vector<TablePicture>& tables,
                                   const PictureBytes& pictures,
                                   const fs::path& folder,
                                   const ForEach& for_each) {
    write_survey_gpkg(record, SiteProjection(record.layout.origin), folder / "survey.gpkg");
    if (!record.review_log.empty()) {
        write_standing(folder / "survey.gpkg");
    }
    write_tables(record.layout, tables, folder);
    write_pictures(record.pictures, pictures, folder);
    const RenderedFolder rendered = render_folder(folder, renderings(), for_each);
    write_file(folder / "manifest.json", manifest_text(rendered.record, facts, folder));
    return rendered.notes;
}

}  // namespace

std::vector<std::string> write_results(const SurveyRecord& record,
                                       const RunFacts& facts,
                                       const std::vector<TablePicture>& tables,
                                       const PictureBytes& pictures,
                                       const fs::path& folder,
                                       bool overwrite,
                                       const ForEach& for_each) {
    if (const std::string breach = first_breach(record); !breach.empty()) {
        throw Error(
            ErrorKind::internal, "the record contradicts itself", "survey " + record.survey_id, breach, "Report this");
    }
    try {
        OutputFolder output(folder, overwrite);
        std::vector<std::string> notes = write_all(record, facts, tables, pictures, output.path(), for_each);
        output.publish();
        return notes;
    } catch (const fs::filesystem_error& error) {
        throw Error(ErrorKind::output,
                    "cannot write results",
                    folder.string(),
                    error.code().message(),
                    "Check the path, its permissions and its disk");
    }
}

}  // namespace heatrow
