#include "heatrow/io/frame_tags.hpp"

#include "gdal_guard.hpp"

#include <cpl_minixml.h>
#include <gdal_priv.h>

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
