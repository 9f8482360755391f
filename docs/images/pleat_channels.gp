# Pressure drop over the number of pleats, by parts: the example pleat_channels. Run from the project's root:
#   gnuplot docs/images/pleat_channels.gp
set terminal svg size 720,420 font "sans-serif,13" background "white"
set output "docs/images/pleat_channels.svg"
data = "examples/expected/pleat_channels.txt"
set xlabel "pleats on 590 mm"
set ylabel "pressure drop, Pa"
set xrange [20:220]
set yrange [-15:160]
set grid lc rgb "#dddddd"
set key top center reverse Left samplen 2
plot data index 0 using 1:6 with lines lc rgb "#000000" lw 3 title "total (invented filter)", \
     data index 0 using 1:2 with lines lc rgb "#0072B2" lw 2 dt 2 title "medium, evenly spread", \
     data index 0 using 1:3 with lines lc rgb "#D55E00" lw 2 dt 4 title "channels", \
     data index 0 using 1:($4+$5) with lines lc rgb "#009E73" lw 2 dt 3 title "entry and exit", \
     data index 1 using 1:2 with points lc rgb "#000000" pt 7 ps 0.8 title "least"
