# Corrected pressure drop of the example uncertainty_budget, Monte Carlo against first order. Run from the project's root:
#   gnuplot docs/images/uncertainty_densities.gp
set terminal svg size 720,560 font "sans-serif,13" background "white"
set output "docs/images/uncertainty_densities.svg"
data = "examples/expected/uncertainty_budget.txt"
# Ends of the 95 % intervals, case by case, as the example prints them.
ends(what, case, place) = real(system(sprintf( \
    "grep '95 %% by %s ' %s | sed -n %dp | grep -oE '[0-9]+[.][0-9]+' | sed -n %dp", what, data, case, place)))
set multiplot layout 2,1
set style fill solid 0.35 noborder
set grid lc rgb "#dddddd"
set tics out nomirror
set ylabel "density, 1/Pa"
set lmargin 12
set key top right Left reverse samplen 2
do for [case = 1:2] {
    peak = case == 1 ? 0.08 : 0.32
    set yrange [-0.18*peak:1.1*peak]
    set ytics peak/4
    set xrange [(case == 1 ? 45 : 58):(case == 1 ? 90 : 70)]
    set xlabel case == 2 ? "pressure drop at 0.070 m3/s, Pa (readings invented)" : ""
    set title case == 1 ? "nozzle read in steps of 1 Pa: first order fails" : "nozzle read in steps of 0.1 Pa: first order holds"
    f1 = ends("first order", case, 1); f2 = ends("first order", case, 2)
    m1 = ends("Monte Carlo, symmetric", case, 1); m2 = ends("Monte Carlo, symmetric", case, 2)
    set arrow 1 from f1,-0.06*peak to f2,-0.06*peak heads size screen 0.006,90 lc rgb "#D55E00" lw 2
    set arrow 2 from m1,-0.12*peak to m2,-0.12*peak heads size screen 0.006,90 lc rgb "#0072B2" lw 2
    set label 1 "95 % intervals" at case == 1 ? 78 : 66.6,-0.09*peak
    plot data index case using 1:2 with boxes lc rgb "#0072B2" title "Monte Carlo", \
         data index case using 1:3 with lines lc rgb "#D55E00" lw 2 title "first order"
}
unset multiplot
