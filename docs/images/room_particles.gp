# Share of outdoor particles found indoors: the example room_particles. Run from the project's root:
#   gnuplot docs/images/room_particles.gp
set terminal svg size 720,380 font "sans-serif,13" background "white"
set output "docs/images/room_particles.svg"
data = "examples/expected/room_particles.txt"
set logscale x
set xlabel "particle size, um"
set ylabel "indoor over outdoor concentration"
set xrange [0.3:10]
set xtics (0.3, 0.5, 1, 2, 3, 5, 10)
set yrange [0:0.8]
set grid lc rgb "#dddddd"
set key top right reverse Left samplen 2
plot data index 0 using 1:2 with lines lc rgb "#000000" lw 2 title "without filter (invented room)", \
     data index 0 using 1:3 with linespoints lc rgb "#0072B2" lw 2 pt 7 ps 0.6 title "filter, fan on 30 % of the time, quick cycles", \
     data index 0 using 1:4 with lines lc rgb "#D55E00" lw 2 dt 2 title "the same in cycles of 2 h"
