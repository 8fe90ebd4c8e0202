// Cell figures of views, on disk while a run lasts: they are most of what is known of a frame, and nobody needs them
// between the measurement of the frame and the fusion of its modules.
#pragma once

#include "heatrow/fuse/fuse.hpp"
#include "heatrow/io/scratch_file.hpp"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <vector>

namespace heatrow {

// A view without the figures of its cells (those of `view` are empty), and where these lie.
struct StoredView {
    ModuleView view;
    double level_c = 0.0;  // median of its cells' means; NaN where none has data
    std::uint64_t offset = 0;
    std::uint32_t cells = 0;  // on disk; 0 where they stayed in `view`
};

// With its figures: for a few views.
StoredView in_memory(ModuleView view);

// Thread-safe.
class ViewStore {
  public:
    ViewStore() = default;  // forgets the figures
    // Where the folder takes no file, or the disk is full, figures stay in memory.
    explicit ViewStore(const std::filesystem::path& folder) : keeps_(true), file_(ScratchFile::open(folder)) {}

    // The views of one frame.
    std::vector<StoredView> put_away(std::vector<ModuleView> views);
    // Whole again. Throws Error(input) where the disk does not give the figures back.
    [[nodiscard]] ModuleView take_out(const StoredView& stored) const;

  private:
    bool keeps_ = false;
    std::unique_ptr<ScratchFile> file_;
};

}  // namespace heatrow
