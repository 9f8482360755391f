# The example duct_network: pressure along the way of the air, and the flows as the filter loads. Run from the project's
# root: gnuplot docs/images/duct_network.gp
set terminal svg size 760,800 font "sans-serif,13" background "white"
set output "docs/images/duct_network.svg"
set grid lc rgb "#dddddd"
result = "examples/expected/duct_network.txt"
set multiplot layout 2,1
set title "Total pressure along the way of the air, out to the rehearsal room and back (invented data)"
set ylabel "total pressure, Pa"
set xrange [-0.5:13.5]
set yrange [-420:120]
set xtics rotate by 35 right
set key at graph 0.98,0.35 Left reverse samplen 2
plot result index 2 using 1:3:xtic(2) with linespoints lc rgb "#0072B2" lw 2 pt 7 ps 0.6 title "clean filter", \
     result index 2 using 1:4 with linespoints lc rgb "#D55E00" lw 2 dt 2 pt 7 ps 0.6 title "filter of six times the viscous resistance"
set title "Supply to each room as the filter loads"
set xlabel "drop of the filter, Pa"
set ylabel "supply, L/s"
set xtics norotate center autofreq
set xrange [100:290]
set yrange [0:300]
unset key
set label 1 "gallery" at 241,168
set label 2 "rehearsal room" at 241,104
set label 3 "studio" at 241,86
set label 4 "foyer, cafe" at 241,58
set label 5 "office" at 241,36
plot for [column=4:9] result index 1 using 2:column with lines lw 2
unset multiplot
