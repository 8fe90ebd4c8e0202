// Functions that are compiled for wider registers too, and run with the widest that the processor has. Results do not
// depend on it where each element is worked out on its own or added up in a fixed order: contraction into fused
// operations is off (docs/architecture.md, "Same bytes").
#pragma once

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__) && \
    !defined(__SANITIZE_THREAD__)
#define HEATROW_WIDE_REGISTERS __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define HEATROW_WIDE_REGISTERS
#endif
