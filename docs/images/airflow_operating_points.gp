# Fan and system curves: the example operating_point. Run from the project's root:
#   gnuplot docs/images/airflow_operating_points.gp
set terminal svg size 720,400 font "sans-serif,13" background "white"
set output "docs/images/airflow_operating_points.svg"
set grid lc rgb "#dddddd"
set ylabel "pressure, Pa"
belt = "examples/expected/operating_point.txt"
set title "A filter grows dirty: the operating point slides along the fan's curve"
set xlabel "airflow, m3/s"
set xrange [0:1.9]
set yrange [0:850]
set key top left reverse Left samplen 2
set label 1 "clean" at 1.29,270  tc rgb "#0072B2"
set label 2 "dirty" at 1.06,360 right tc rgb "#D55E00"
plot belt index 0 using 1:2 with lines lc rgb "#000000" lw 3 title "fan at fixed speed", \
     belt index 0 using 1:3 with lines lc rgb "#0072B2" lw 2 title "ducts with the clean filter", \
     belt index 0 using 1:4 with lines lc rgb "#D55E00" lw 2 dt 2 title "ducts with the dirty filter", \
     belt index 1 using 1:2 with points lc rgb "#000000" pt 7 ps 0.9 title "operating points"
