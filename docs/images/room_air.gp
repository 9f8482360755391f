# Outdoor particles found indoors by size, and a day of a room: the example room_air. Run from the project's root:
#   gnuplot docs/images/room_air.gp
set terminal svg size 720,760 font "sans-serif,13" background "white"
set output "docs/images/room_air.svg"
data = "examples/expected/room_air.txt"
set grid lc rgb "#dddddd"
set multiplot layout 2,1
set title "Particles from outdoors, fan on 30 % of the time (invented)"
set logscale x
set xlabel "particle size, um"
set ylabel "indoor over outdoor concentration"
set xrange [0.3:10]
set xtics (0.3, 0.5, 1, 2, 3, 5, 10)
set yrange [0:1]
set key top right reverse Left samplen 2
plot data index 1 using 1:2 with lines lc rgb "#000000" lw 2 title "without filter", \
     data index 1 using 1:3 with lines lc rgb "#CC79A7" lw 2 dt 3 title "pad", \
     data index 1 using 1:4 with linespoints lc rgb "#0072B2" lw 2 pt 7 ps 0.6 title "pleated, quick cycles", \
     data index 1 using 1:6 with lines lc rgb "#D55E00" lw 2 dt 2 title "pleated, cycles of 2 h", \
     data index 1 using 1:5 with lines lc rgb "#009E73" lw 2 title "fine"
unset logscale x
set title "A day: fan from 7 to 22 h, a rehearsal from 14 to 17 h (invented)"
set xlabel "hour"
set ylabel "dust of 2 um, ug/m3"
set xrange [0:24]
set xtics 0,3,24
set yrange [0:20]
set key top left
plot data index 2 using 1:2 with lines lc rgb "#CC79A7" lw 2 dt 3 title "pad", \
     data index 2 using 1:3 with lines lc rgb "#0072B2" lw 2 title "pleated", \
     data index 2 using 1:4 with lines lc rgb "#009E73" lw 2 title "fine", \
     12 with lines lc rgb "#999999" lw 1 title "outdoors"
unset multiplot
