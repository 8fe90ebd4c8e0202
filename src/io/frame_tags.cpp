#include "heatrow/io/frame_tags.hpp"

#include "gdal_guard.hpp"
#include "tiff_directory.hpp"

#include <cpl_minixml.h>
#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <string_view>

namespace heatrow {
namespace {

using Namespaces = std::map<std::string, std::string>;  // prefix to URI

// CPL's XML keeps prefixes: declarations on a node add to those of its parents.
Namespaces with_declarations(const CPLXMLNode& node, Namespaces known) {
    for (const CPLXMLNode* child = node.psChild; child != nullptr; child = child->psNext) {
        const std::string_view name(child->pszValue);
        if (child->eType == CXT_Attribute && name.starts_with("xmlns:") && child->psChild != nullptr) {
            known[std::string(name.substr(6))] = child->psChild->pszValue;
        }
    }
    return known;
}

class XmpLister {
  public:
    explicit XmpLister(std::vector<FrameTag>& tags) : tags_(tags) {}

    void visit(const CPLXMLNode* node, const Namespaces& outer, int depth) {
        constexpr int kDeepest = 64;  // XMP nests a few levels; deeper is hostile
        for (; node != nullptr && depth < kDeepest; node = node->psNext) {
            if (node->eType == CXT_Attribute) {
                add(node->pszValue, node->psChild, outer);
            } else if (node->eType == CXT_Element) {
                const Namespaces known = with_declarations(*node, outer);
                if (node->psChild != nullptr && node->psChild->eType == CXT_Text) {
                    add(node->pszValue, node->psChild, known);
                }
                visit(node->psChild, known, depth + 1);
            }
        }
    }

  private:
    void add(std::string_view name, const CPLXMLNode* value, const Namespaces& known) {
        const auto colon = name.find(':');
        if (colon == std::string_view::npos || value == nullptr || name.starts_with("xmlns:") ||
            name.starts_with("xml:")) {
            return;
        }
        const std::string prefix(name.substr(0, colon));
        const auto uri = known.find(prefix);
        tags_.push_back(
            {uri == known.end() ? prefix : uri->second, std::string(name.substr(colon + 1)), value->pszValue});
    }

    std::vector<FrameTag>& tags_;
};

void add_domain(GDALMajorObject& object, const char* domain, const std::string& group, std::vector<FrameTag>& tags) {
    char** items = object.GetMetadata(domain);
    for (; items != nullptr && *items != nullptr; ++items) {
        const std::string_view item(*items);
        const auto equals = item.find('=');
        if (equals != std::string_view::npos) {
            tags.push_back({group, std::string(item.substr(0, equals)), std::string(item.substr(equals + 1))});
        }
    }
}

void add_all_domains(GDALMajorObject& object, std::vector<FrameTag>& tags) {
    char** domains = object.GetMetadataDomainList();
    for (char** domain = domains; domain != nullptr && *domain != nullptr; ++domain) {
        const std::string_view name(*domain);
        if (name == "xml:XMP") {
            char** packet = object.GetMetadata(*domain);
            if (packet != nullptr && *packet != nullptr) {
                const auto xmp = list_xmp_tags(*packet);
                tags.insert(tags.end(), xmp.begin(), xmp.end());
            }
        } else if (name != "DERIVED_SUBDATASETS" && name != "IMAGE_STRUCTURE" && !name.starts_with("xml:")) {
            add_domain(object, *domain, name.empty() ? "TIFF" : std::string(name), tags);
        }
    }
    CSLDestroy(domains);
}

// Texts of the first directory of a TIFF that GDAL does not pass on, make and model of the camera among them.
void add_directory_texts(std::span<const std::uint8_t> bytes, std::vector<FrameTag>& tags) {
    constexpr std::size_t kHeader = 8;
    if (bytes.size() < kHeader || (bytes[0] != 'I' && bytes[0] != 'M') || bytes[0] != bytes[1]) {
        return;
    }
    const detail::TiffBytes file(bytes, bytes[0] == 'I');
    constexpr std::uint16_t kClassic = 42;
    const std::uint64_t start = file.u32(4);
    if (file.u16(2) != kClassic || !file.holds(start, 2)) {
        return;
    }
    constexpr std::uint64_t kEntrySize = 12;
    for (std::uint64_t i = 0; i < file.u16(start) && file.holds(start + 2 + i * kEntrySize, kEntrySize); ++i) {
        const std::uint64_t at = start + 2 + i * kEntrySize;
        const std::uint16_t tag = file.u16(at);
        const std::uint32_t size = file.u32(at + 4);
        constexpr std::array<std::uint16_t, 10> kListedByGdal{269, 270, 305, 306, 315, 316, 33432, 34737, 42112, 42113};
        constexpr std::uint16_t kText = 2;
        const std::uint64_t where = size <= 4 ? at + 8 : file.u32(at + 8);
        if (file.u16(at + 2) != kText || !file.holds(where, size) ||
            std::find(kListedByGdal.begin(), kListedByGdal.end(), tag) != kListedByGdal.end()) {
            continue;
        }
        const auto text = file.part(where, size);
        const std::string value(text.begin(), std::find(text.begin(), text.end(), std::uint8_t{0}));
        constexpr std::uint16_t kMake = 271;
        constexpr std::uint16_t kModel = 272;
        tags.push_back({"TIFF", tag == kMake ? "Make" : tag == kModel ? "Model" : "tag " + std::to_string(tag), value});
    }
}

}  // namespace

std::vector<FrameTag> list_xmp_tags(const std::string& xmp) {
    std::vector<FrameTag> tags;
    const detail::GdalGuard gdal;
    const std::unique_ptr<CPLXMLNode, decltype(&CPLDestroyXMLNode)> root(CPLParseXMLString(xmp.c_str()),
                                                                         CPLDestroyXMLNode);
    XmpLister(tags).visit(root.get(), {}, 0);
    return tags;
}

std::vector<FrameTag> list_frame_tags(std::span<const std::uint8_t> bytes) {
    std::vector<FrameTag> tags;
    const detail::GdalGuard gdal;
    const detail::GdalMemoryFile file(bytes);
    const GDALDatasetUniquePtr dataset(
        GDALDataset::Open(file.path(), GDAL_OF_RASTER, detail::kPictureDrivers, nullptr, nullptr));
    if (dataset == nullptr) {
        return tags;
    }
    add_directory_texts(bytes, tags);
    add_all_domains(*dataset, tags);
    if (dataset->GetRasterCount() == 1) {
        GDALRasterBand& band = *dataset->GetRasterBand(1);
        const auto add_number = [&](const char* name, double value, int given) {
            if (given != 0) {
                tags.push_back({"band", name, CPLSPrintf("%.15g", value)});
            }
        };
        int given = 0;
        const double scale = band.GetScale(&given);
        add_number("scale", scale, given);
        const double offset = band.GetOffset(&given);
        add_number("offset", offset, given);
        const double nodata = band.GetNoDataValue(&given);
        add_number("nodata", nodata, given);
    }
    return tags;
}

}  // namespace heatrow
