# Interception and impaction by the classic formula and by trajectories, of the example fibre_efficiency. Run from the
# project's root:
#   gnuplot docs/images/impaction_ways.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/impaction_ways.svg"
data = "examples/expected/fibre_efficiency.txt"
entry = "< awk -F, '$1 == 0.06 {print 3 * $2, $4, $5}' tests/reference/impaction_entry.csv"   # fibres of 3 um
set logscale xy
set xlabel "particle size, um (Stokes number on the fibre's diameter above)"
set ylabel "interception and impaction, single fibre"
set xrange [0.15:2.4]
set yrange [0.003:2]
set xtics (0.15, 0.2, 0.3, 0.5, 0.7, 1, 1.5, 2) nomirror
set x2tics ("0.01" 0.1833, "0.05" 0.4985, "0.1" 0.7340, "0.2" 1.0692, "0.5" 1.738, "0.9" 2.35)
set logscale x2
set x2range [0.15:2.4]
set grid lc rgb "#dddddd"
set key top left Left reverse samplen 2
plot entry using 1:2:3 with filledcurves lc rgb "#cfe3f1" title "trajectories, down to those that enter with the fluid", \
     data index 1 using 1:4 with lines lc rgb "#0072B2" lw 2 title "trajectories (own, unpublished)", \
     "" index 1 using 1:3 with lines lc rgb "#D55E00" lw 2 dt 2 title "classic formula"
