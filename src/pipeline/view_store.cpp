#include "view_store.hpp"

#include "heatrow/core/median.hpp"

#include <array>
#include <cstring>
#include <optional>
#include <utility>

namespace heatrow {
namespace {

constexpr std::size_t kFigures = 4;  // of a cell

// One array after the other.
template <typename View>
auto figures_of(View& view) {
    return std::array{&view.mean_c, &view.hottest_c, &view.spread_k, &view.pixels};
}

}  // namespace

StoredView in_memory(ModuleView view) {
    StoredView stored;
    stored.level_c = median_of({view.mean_c.begin(), view.mean_c.end()});
    stored.view = std::move(view);
    return stored;
}

std::vector<StoredView> ViewStore::put_away(std::vector<ModuleView> views) {
    std::vector<StoredView> stored;
    std::vector<std::uint8_t> bytes;
    for (ModuleView& view : views) {
        stored.push_back(in_memory(std::move(view)));
        stored.back().offset = bytes.size();
        if (file_) {
            for (const std::vector<float>* figures : figures_of(std::as_const(stored.back().view))) {
                const auto* from = reinterpret_cast<const std::uint8_t*>(figures->data());
                bytes.insert(bytes.end(), from, from + figures->size() * sizeof(float));
            }
        }
    }
    const std::optional<std::uint64_t> start = file_ ? file_->append(bytes) : std::nullopt;
    for (StoredView& one : stored) {
        if (start) {
            one.offset += *start;
            one.cells = static_cast<std::uint32_t>(one.view.mean_c.size());
        }
        if (start || !keeps_) {
            for (std::vector<float>* figures : figures_of(one.view)) {
                *figures = std::vector<float>();  // and its memory
            }
        }
    }
    return stored;
}

ModuleView ViewStore::take_out(const StoredView& stored) const {
    ModuleView view = stored.view;
    if (stored.cells == 0) {
        return view;
    }
    std::vector<std::uint8_t> bytes(kFigures * stored.cells * sizeof(float));
    file_->read(stored.offset, bytes);
    const std::uint8_t* from = bytes.data();
    for (std::vector<float>* figures : figures_of(view)) {
        figures->resize(stored.cells);
        std::memcpy(figures->data(), from, stored.cells * sizeof(float));
        from += stored.cells * sizeof(float);
    }
    return view;
}

}  // namespace heatrow
