# Fan and system curves, and airflow on the way from clean to dirty: the example operating_point. Run from the project's
# root:
#   gnuplot docs/images/airflow_operating_points.gp
set terminal svg size 720,800 font "sans-serif,13" background "white"
set output "docs/images/airflow_operating_points.svg"
set multiplot layout 2,1
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
set title "Three controls of the fan: airflow from the clean filter (0) to the forgotten one (1)"
unset label
set xlabel "growth of the filter's resistance"
set ylabel "airflow, m3/s"
set xrange [0:1]
set yrange [0.8:1.5]
set key top right noreverse Right samplen 3
set arrow 1 from 0,1 to 1,1 nohead lc rgb "#888888" dt 3
set label 3 "least airflow on the nameplate" at 0.02,0.98 tc rgb "#666666"
set label 4 "the drive is at its limit" at 0.49,1.225 tc rgb "#009E73"
set label 5 "end of the table" at 0.87,0.87 center tc rgb "#CC79A7"
plot belt index 2 using 1:2 with lines lc rgb "#000000" lw 3 title "belt, fixed speed", \
     belt index 3 using 1:2 with lines lc rgb "#009E73" lw 2 title "drive that holds its flow", \
     belt index 4 using 1:2 with lines lc rgb "#CC79A7" lw 2 title "induction blower"
unset multiplot
