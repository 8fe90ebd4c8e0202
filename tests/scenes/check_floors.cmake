# One scene rendered, analysed without its truth, graded, and held against floors. Loose on purpose: what falls below one of
# them is broken; how good it is stands in docs/accuracy.md.
# -DHEATROW=... -DSCENE=... -DDESCRIPTION=scene.toml -DPROFILE=... -DWORK=folder -DFLOORS="figure>=value;figure<=value;..."
function(run)
    execute_process(COMMAND ${ARGN} RESULT_VARIABLE code OUTPUT_VARIABLE output ERROR_VARIABLE errors)
    if(NOT code EQUAL 0)
        message(FATAL_ERROR "ended with ${code}: ${ARGN}\n${output}${errors}")
    endif()
    set(output "${output}" PARENT_SCOPE)
endfunction()

file(REMOVE_RECURSE ${WORK})
file(MAKE_DIRECTORY ${WORK})
run(${SCENE} render ${DESCRIPTION} --out ${WORK}/survey)
file(RENAME ${WORK}/survey/truth ${WORK}/truth)
run(${HEATROW} analyse ${WORK}/survey --out ${WORK}/result --quiet)
run(${SCENE} grade ${WORK} ${WORK}/result --profile ${PROFILE} --json)

string(REPLACE "\\;" ";" FLOORS "${FLOORS}")  # escaped on the way through add_test
foreach(floor IN LISTS FLOORS)
    string(REGEX MATCH "^(.+)(>=|<=)(.+)$" parts "${floor}")
    set(figure ${CMAKE_MATCH_1})
    set(relation ${CMAKE_MATCH_2})
    set(limit ${CMAKE_MATCH_3})
    string(JSON value ERROR_VARIABLE missing GET "${output}" figures ${figure} value)
    if(missing OR NOT value MATCHES "^-?[0-9]")
        message(SEND_ERROR "${figure} was not measured: ${value} ${missing}")
    elseif((relation STREQUAL ">=" AND value LESS limit) OR (relation STREQUAL "<=" AND value GREATER limit))
        message(SEND_ERROR "${figure} is ${value}, asked ${relation} ${limit}")
    else()
        message(STATUS "${figure} ${value} (${relation} ${limit})")
    endif()
endforeach()
