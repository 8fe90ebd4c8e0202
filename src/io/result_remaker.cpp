#include "heatrow/io/result_remaker.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/manifest.hpp"
#include "heatrow/io/output_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

bool is_drawn_again(const fs::path& name, const std::vector<Rendering>& renderings) {
    return std::any_of(renderings.begin(), renderings.end(), [&name](const Rendering& rendering) {
        return is_written_by(rendering, name.string());
    });
}

void take_over(const fs::path& from, const fs::path& to, const std::vector<Rendering>& renderings) {
    for (const fs::directory_entry& entry : fs::directory_iterator(from)) {
        const fs::path name = entry.path().filename();
        if (name != "manifest.json" && !is_drawn_again(name, renderings)) {
            fs::copy(entry.path(), to / name, fs::copy_options::recursive | fs::copy_options::copy_symlinks);
        }
    }
}

}  // namespace

fs::path record_file(const fs::path& folder_or_file) {
    const fs::path file = fs::is_directory(folder_or_file) ? folder_or_file / "survey.gpkg" : folder_or_file;
    if (!fs::is_regular_file(file)) {
        throw Error(ErrorKind::input,
                    "cannot read the record",
                    file.string(),
                    "there is no such file",
                    "Give a result folder of 'heatrow analyse', or its survey.gpkg");
    }
    return file;
}

RenderedFolder remake_result(const RemakeOptions& options) {
    const fs::path gpkg = record_file(options.from);
    const bool is_folder = fs::is_directory(options.from);
    try {
        OutputFolder output(options.to, options.overwrite);
        if (is_folder) {
            take_over(options.from, output.path(), options.renderings);
        } else {
            fs::copy_file(gpkg, output.path() / "survey.gpkg");
        }
        if (options.change) {
            options.change(output.path() / "survey.gpkg");
        }
        RenderedFolder rendered = render_folder(output.path(), options.renderings);
        const fs::path earlier = gpkg.parent_path() / "manifest.json";
        write_file(output.path() / "manifest.json",
                   remade_manifest_text(is_folder && fs::exists(earlier) ? earlier : fs::path{},
                                        rendered.record,
                                        options.command,
                                        options.program_version,
                                        output.path()));
        output.publish();
        return rendered;
    } catch (const fs::filesystem_error& error) {
        throw Error(ErrorKind::output,
                    "cannot write results",
                    options.to.string(),
                    error.code().message(),
                    "Check the path, its permissions and its disk");
    }
}

}  // namespace heatrow
