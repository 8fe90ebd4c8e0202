#include "heatrow/io/picture_reader.hpp"

#include "heatrow/io/frame_reader.hpp"
#include "picture_planes.hpp"

namespace heatrow {
namespace {

GreyPicture grey_of(const detail::PicturePlanes& picture) {
    GreyPicture grey{Image<float>(picture.width, picture.height), true};
    const auto& [red, green, blue] = picture.planes;
    for (std::size_t i = 0; i < red.size(); ++i) {
        grey.grey.pixels()[i] = picture.is_grey() ? red[i] : (red[i] + green[i] + blue[i]) / 3.0F;
    }
    return grey;
}

}  // namespace

tl::expected<GreyPicture, Rejection> read_picture(const std::filesystem::path& file) {
    const std::string name = file.filename().string();
    const auto bytes = read_file_bytes(file);
    if (!bytes) {
        return tl::unexpected(bytes.error());
    }
    auto frame = decode_frame(*bytes, name);
    if (frame) {
        return GreyPicture{std::move(frame->counts), false};
    }
    if (frame.error().reason != RejectReason::not_radiometric) {
        return tl::unexpected(frame.error());
    }
    return detail::read_planes(*bytes, name).map(grey_of);
}

}  // namespace heatrow
