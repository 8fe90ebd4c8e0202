# Renders one roof and holds the grids found without a layout, and the draft from one frame, against floors: 98 % of the whole
# modules, none invented.
file(REMOVE_RECURSE ${WORK})
file(MAKE_DIRECTORY ${WORK})
execute_process(COMMAND ${SCENE} render ${DESCRIPTION} --seed 1 --out ${WORK}/survey
    RESULT_VARIABLE code OUTPUT_QUIET ERROR_VARIABLE messages)
if(NOT code EQUAL 0)
    message(FATAL_ERROR "rendering ended with ${code}: ${messages}")
endif()
file(RENAME ${WORK}/survey/truth ${WORK}/truth)
foreach(figures "${GRID_FIGURES};--least-found" "${DRAFT_FIGURES};--least-drafted")
    execute_process(COMMAND ${figures} 98 --most-invented 0 roof ${WORK}
        RESULT_VARIABLE code OUTPUT_VARIABLE table ERROR_VARIABLE messages)
    if(NOT code EQUAL 0)
        message(FATAL_ERROR "${figures} ended with ${code}: ${messages}\n${table}")
    endif()
    message(STATUS "${table}")
endforeach()
