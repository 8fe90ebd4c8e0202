// The tags that a frame carries, as they are written: nothing is interpreted.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace heatrow {

struct FrameTag {
    std::string group;  // "TIFF", "EXIF", ... or the namespace URI of an XMP tag
    std::string name;
    std::string value;
};

// In the order of the file; XMP in attribute and element form, by namespace URI. Empty where there are none or the file
// cannot be read.
std::vector<FrameTag> list_frame_tags(std::span<const std::uint8_t> bytes);

// XMP packet to tags; nothing where the text is no XML.
std::vector<FrameTag> list_xmp_tags(const std::string& xmp);

}  // namespace heatrow
