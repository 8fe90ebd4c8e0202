#include "point_file.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"

#include <cpl_string.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

namespace heatrow::detail {

PointFile::PointFile(const char* driver, std::filesystem::path file, const std::vector<std::string>& options)
    : file_(std::move(file)) {
    reference_.SetWellKnownGeogCS("WGS84");
    reference_.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    GDALDriver* found = GetGDALDriverManager()->GetDriverByName(driver);
    if (found == nullptr) {
        fail(fmt::format("this build of GDAL has no driver {}", driver));
    }
    CPLStringList list;
    for (const std::string& option : options) {
        list.AddString(option.c_str());
    }
    dataset_.reset(found->Create(file_.c_str(), 0, 0, 0, GDT_Unknown, list.List()));
    if (!dataset_) {
        fail("it could not be made");
    }
}

PointFile::~PointFile() = default;

void PointFile::fail(const std::string& what) const {
    const std::string reason = guard_.last_error();
    throw Error(ErrorKind::output,
                "cannot write the points",
                file_.string(),
                reason.empty() ? what : what + ": " + reason,
                "Check that the disk is writable and has room");
}

void PointFile::begin_layer(const std::string& name,
                            OGRwkbGeometryType geometry,
                            const std::vector<std::string>& fields) {
    layer_ = dataset_->CreateLayer(name.c_str(), &reference_, geometry, nullptr);
    if (layer_ == nullptr) {
        fail(fmt::format("layer {} could not be made", name));
    }
    for (const std::string& field : fields) {
        OGRFieldDefn definition(field.c_str(), OFTString);
        // Drivers know some fields already, GPX for one.
        if (layer_->GetLayerDefn()->GetFieldIndex(field.c_str()) < 0 &&
            layer_->CreateField(&definition) != OGRERR_NONE) {
            fail(fmt::format("field {} could not be made", field));
        }
    }
}

void PointFile::add(std::unique_ptr<OGRGeometry> geometry, const std::vector<std::pair<std::string, std::string>>& values) {
    const std::unique_ptr<OGRFeature, decltype(&OGRFeature::DestroyFeature)> feature(
        OGRFeature::CreateFeature(layer_->GetLayerDefn()), &OGRFeature::DestroyFeature);
    for (const auto& [field, value] : values) {
        if (!value.empty()) {
            feature->SetField(field.c_str(), clean_utf8(value).c_str());
        }
    }
    feature->SetGeometryDirectly(geometry.release());
    if (layer_->CreateFeature(feature.get()) != OGRERR_NONE) {
        fail("a point could not be written");
    }
}

void PointFile::close() {
    dataset_.reset();
    if (const std::string reason = guard_.last_error(); !reason.empty()) {
        fail("it could not be closed");
    }
}

}  // namespace heatrow::detail
