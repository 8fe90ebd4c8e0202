// Pixel grids. Row-major; pixel (x, y) has its centre at integer coordinates, (0, 0) being the centre of the top left
// pixel; x grows to the right, y downwards (docs/conventions.md).
#pragma once

#include <cassert>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace heatrow {

// A view of pixels that somebody else owns. `stride` is in elements.
template <class T>
class ImageView {
  public:
    ImageView() = default;
    ImageView(T* data, int width, int height, std::ptrdiff_t stride)
        : data_(data), width_(width), height_(height), stride_(stride) {}

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    [[nodiscard]] bool empty() const { return width_ == 0 || height_ == 0; }
    [[nodiscard]] bool contains(int x, int y) const { return x >= 0 && y >= 0 && x < width_ && y < height_; }

    [[nodiscard]] T* row(int y) const {
        assert(y >= 0 && y < height_);
        return data_ + static_cast<std::ptrdiff_t>(y) * stride_;
    }
    [[nodiscard]] T& operator()(int x, int y) const {
        assert(contains(x, y));
        return row(y)[x];
    }

  private:
    T* data_ = nullptr;
    int width_ = 0;
    int height_ = 0;
    std::ptrdiff_t stride_ = 0;
};

// Pixels with their memory.
template <class T>
class Image {
  public:
    Image() = default;
    Image(int width, int height, T fill = T{})
        : pixels_(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), fill),
          width_(width),
          height_(height) {}

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    [[nodiscard]] bool empty() const { return pixels_.empty(); }
    [[nodiscard]] std::vector<T>& pixels() { return pixels_; }
    [[nodiscard]] const std::vector<T>& pixels() const { return pixels_; }

    [[nodiscard]] ImageView<T> view() { return {pixels_.data(), width_, height_, width_}; }
    [[nodiscard]] ImageView<const T> view() const { return {pixels_.data(), width_, height_, width_}; }

  private:
    std::vector<T> pixels_;
    int width_ = 0;
    int height_ = 0;
};

// Counts of a frame as read, never resampled. 16-bit integers or floats come as float: both are exact in it.
using CountView = ImageView<const float>;

}  // namespace heatrow
