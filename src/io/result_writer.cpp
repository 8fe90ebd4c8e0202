#include "heatrow/io/result_writer.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/rendering.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_review.hpp"
#include "heatrow/io/survey_gpkg_writer.hpp"

#include <system_error>
#include <utility>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

OtherFiles table_files(const Layout& layout, const TablePictures& tables, const fs::path& folder) {
    const std::vector<std::string> all = table_picture_files(layout);
    OtherFiles files;
    for (const int table : tables.tables) {
        files.names.push_back(all.at(static_cast<std::size_t>(table)));
        fs::create_directories((folder / files.names.back()).parent_path());
    }
    files.write = [&tables, &folder, names = files.names](std::size_t i) {
        write_file(folder / names[i], tables.draw(i));
    };
    return files;
}

void write_pictures(const std::vector<FindingPicture>& pictures, const PictureBytes& bytes, const fs::path& folder) {
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const fs::path file = folder / pictures.at(i).file;
        fs::create_directories(file.parent_path());
        write_file(file, bytes[i]);
    }
}

std::vector<std::string> write_all(SurveyRecord record,
                                   const RunFacts& facts,
                                   const TablePictures& tables,
                                   const PictureBytes& pictures,
                                   const fs::path& folder,
                                   const ForEach& for_each) {
    write_survey_gpkg(record, SiteProjection(record.layout.origin), folder / "survey.gpkg");
    if (!record.review_log.empty()) {
        write_standing(folder / "survey.gpkg");
    }
    write_pictures(record.pictures, pictures, folder);
    const OtherFiles table_pictures = table_files(record.layout, tables, folder);
    record = {};  // is read back from the file
    const RenderedFolder rendered = render_folder(folder, renderings(), for_each, table_pictures);
    write_file(folder / "manifest.json", manifest_text(rendered.record, facts, folder));
    return rendered.notes;
}

}  // namespace

std::vector<std::string> write_results(SurveyRecord record,
                                       const RunFacts& facts,
                                       const TablePictures& tables,
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
        std::vector<std::string> notes = write_all(std::move(record), facts, tables, pictures, output.path(), for_each);
        output.publish(for_each);
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
