# Single-fibre efficiency by mechanism, stacked, of the example fibre_efficiency. Run from the project's root:
#   gnuplot docs/images/fibre_mechanisms.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/fibre_mechanisms.svg"
data = "examples/expected/fibre_efficiency.txt"
set logscale xy
set xlabel "particle size, um"
set ylabel "efficiency of a single fibre"
set xrange [0.01:2.4]
set yrange [0.005:2]
set xtics (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2)
set grid lc rgb "#dddddd"
set key top center Left reverse samplen 2
stats data index 0 using 1:5 nooutput
least = STATS_min_y
at = STATS_pos_min_y
set label sprintf("penetrates most: %.2f um", at) at at,least*5.2 center front
set arrow from at,least*4.4 to at,least*1.08 lw 1.5 front
base = 0.005
plot data index 0 using 1:(base):($2 > base ? $2 : base) with filledcurves lc rgb "#0072B2" title "diffusion", \
     "" index 0 using 1:($2 > base ? $2 : base):($2+$3 > base ? $2+$3 : base) with filledcurves lc rgb "#009E73" title "and interception", \
     "" index 0 using 1:($2+$3):($2+$3+$4) with filledcurves lc rgb "#D55E00" title "and impaction (formula)", \
     "" index 0 using 1:5 with lines lc rgb "black" lw 2 title "all, each as independent"
