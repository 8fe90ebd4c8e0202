// Values one after the other as they lie in memory: for files that one machine writes and reads again.
#pragma once

#include <Eigen/Core>

#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace heatrow {

class ByteWriter {
  public:
    template <typename T>
    requires std::is_arithmetic_v<T> || std::is_enum_v<T>
    void put(T value) {
        const auto* from = reinterpret_cast<const std::uint8_t*>(&value);
        bytes_.insert(bytes_.end(), from, from + sizeof(T));
    }
    template <typename Derived>
    void put(const Eigen::MatrixBase<Derived>& values) {
        for (Eigen::Index i = 0; i < values.size(); ++i) {
            put(static_cast<double>(values(i % values.rows(), i / values.rows())));
        }
    }
    void put(std::string_view text) {
        put(static_cast<std::uint32_t>(text.size()));
        bytes_.insert(bytes_.end(), text.begin(), text.end());
    }
    void put(const char* text) = delete;  // would be taken for a bool

    [[nodiscard]] const std::vector<std::uint8_t>& bytes() const { return bytes_; }

  private:
    std::vector<std::uint8_t> bytes_;
};

// Beyond the end every value is zero or empty, and `is_whole` false.
class ByteReader {
  public:
    explicit ByteReader(std::span<const std::uint8_t> bytes) : left_(bytes) {}

    template <typename T>
    requires std::is_arithmetic_v<T> || std::is_enum_v<T> T get() {
        if constexpr (std::is_same_v<T, bool>) {
            return get<std::uint8_t>() != 0;
        } else {
            T value{};
            if (take(sizeof(T))) {
                std::memcpy(&value, taken_.data(), sizeof(T));
            }
            return value;
        }
    }
    template <typename Derived>
    void get(Eigen::MatrixBase<Derived>& values) {
        for (Eigen::Index i = 0; i < values.size(); ++i) {
            values(i % values.rows(), i / values.rows()) = get<double>();
        }
    }
    std::string text() {
        const auto size = get<std::uint32_t>();
        return take(size) ? std::string(taken_.begin(), taken_.end()) : std::string();
    }
    // A number of things to come, each of at least `least_size` bytes: 0 where they cannot all be there.
    std::size_t count(std::size_t least_size) {
        const auto count = get<std::uint32_t>();
        is_whole_ = is_whole_ && count <= left_.size() / least_size;
        return is_whole_ ? count : 0;
    }
    [[nodiscard]] bool is_whole() const { return is_whole_; }
    [[nodiscard]] bool is_at_end() const { return is_whole_ && left_.empty(); }

  private:
    bool take(std::size_t size) {
        is_whole_ = is_whole_ && size <= left_.size();
        if (is_whole_) {
            taken_ = left_.first(size);
            left_ = left_.subspan(size);
        }
        return is_whole_;
    }

    std::span<const std::uint8_t> left_;
    std::span<const std::uint8_t> taken_;
    bool is_whole_ = true;
};

}  // namespace heatrow
